"""What may be asked in the next half hour is known beforehand, if the day goes as planned."""

from __future__ import annotations

from datetime import timedelta

from showtime.live.answer import SOON, answer
from showtime.live.foreseen import foreseen
from showtime.wording import Kind, minutes_to_go

HALF_HOUR = timedelta(minutes=30)


def words_for(situation):
    """What the words depend on."""
    minutes = None
    if situation.kind in (Kind.SOON, Kind.CALL):
        minutes = minutes_to_go(situation.at, situation.now)
    return situation.kind, situation.at, situation.piece, minutes


def test_the_present_answer_comes_first_and_then_what_is_said_of_a_hold(open_stage):
    stage = open_stage("10:05")
    now = stage.clock.now()
    first, held, *_ = foreseen(stage.state, now)
    assert first == answer(stage.state, now)
    assert (held.kind, held.at) == (Kind.LATE, None)


def test_every_answer_of_a_day_was_foreseen_up_to_half_an_hour_before(open_stage):
    stage = open_stage("09:50")
    known: list[tuple[object, set[object]]] = []
    for _ in range(2 * 180 + 40):
        now = stage.clock.now()
        asked = words_for(answer(stage.state, now))
        assert all(asked in words for since, words in known if now - since < HALF_HOUR), now
        if now.minute % 4 == 0:
            known.append((now, {words_for(each) for each in foreseen(stage.state, now)}))
        stage.clock.turn_to(now + timedelta(seconds=29))
    assert len(known) > 30


def test_calls_are_foreseen(open_stage):
    stage = open_stage("10:05")
    calls = [each for each in foreseen(stage.state, stage.clock.now()) if each.kind is Kind.CALL]
    assert [(each.now, each.at) for each in calls] == [(stage.at("10:25"), stage.at("10:30"))]


def test_what_is_told_in_minutes_is_foreseen_for_each_minute(open_stage):
    stage = open_stage("10:05")
    soon = [each for each in foreseen(stage.state, stage.clock.now()) if each.kind is Kind.SOON]
    assert timedelta(minutes=3) == SOON
    assert {minutes_to_go(each.at, each.now) for each in soon} == {0, 1, 2, 3}


def test_a_held_day_foresees_no_performance(open_stage):
    stage = open_stage("10:05")
    stage.running.tell(["hold"])
    assert {each.kind for each in foreseen(stage.state, stage.clock.now())} == {Kind.LATE}
