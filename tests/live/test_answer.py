"""Whoever asks gets the answer that a thoughtful keeper would give."""

from __future__ import annotations

from showtime.live import Stage as DayStage
from showtime.live.answer import Manner, answer, manner
from showtime.live.clock.trust import Doubted
from showtime.wording import Kind


def asked(stage, clock):
    stage.turn(clock)
    return answer(stage.state, stage.clock.now())


def test_before_opening_the_first_start_is_told(open_stage):
    situation = asked(open_stage("09:30"), "09:45")
    assert (situation.kind, situation.at) == (Kind.NOT_OPEN, open_stage().at("10:30"))


def test_in_the_open_hours_the_next_start_is_told(open_stage):
    stage = open_stage()
    situation = asked(stage, "10:12")
    assert (situation.kind, situation.at) == (Kind.NEXT, stage.at("10:30"))
    assert situation.piece == "Bells"


def test_shortly_before_it_the_next_start_is_soon(open_stage):
    stage = open_stage()
    assert asked(stage, "10:26:59").kind is Kind.NEXT
    assert asked(stage, "10:27").kind is Kind.SOON


def test_while_a_piece_plays_the_one_after_it_is_told(open_stage):
    stage = open_stage()
    situation = asked(stage, "10:31")
    assert (situation.kind, situation.at) == (Kind.PLAYING, stage.at("11:00"))
    assert situation.piece == "Bells"


def test_while_the_last_one_plays_no_time_is_told(open_stage):
    situation = asked(open_stage(), "12:32")
    assert (situation.kind, situation.at) == (Kind.PLAYING, None)


def test_after_the_last_one_tomorrow_is_told_if_tomorrow_is_a_fair_day(open_stage):
    tomorrow = open_stage().at("10:15").replace(day=14)
    situation = asked(open_stage(tomorrow=tomorrow), "12:50")
    assert (situation.kind, situation.at) == (Kind.TOMORROW, tomorrow)
    assert asked(open_stage(), "12:50").kind is Kind.NONE_LEFT


def test_past_midnight_what_comes_later_that_day_is_not_called_tomorrow(open_stage):
    stage = open_stage(tomorrow=open_stage().at("10:15").replace(day=14))
    stage.turn("23:59:59")
    past_midnight = stage.at("00:30").replace(day=14)
    situation = answer(stage.state, past_midnight)
    assert situation.kind is Kind.NOT_OPEN


def test_while_held_no_time_is_told(open_stage):
    stage = open_stage()
    stage.turn("10:05")
    stage.running.tell(["hold"])
    situation = asked(stage, "10:06")
    assert (situation.kind, situation.at) == (Kind.LATE, None)


def test_an_answer_depends_on_nothing_but_state_and_instant(open_stage):
    stage = open_stage()
    stage.turn("10:12")
    now = stage.clock.now()
    assert answer(stage.state, now) == answer(stage.state, now)


def test_a_promise_that_was_moved_is_apologised_for_until_its_time_has_passed(open_stage):
    stage = open_stage()
    stage.turn("10:12")
    stage.running.asked("key")
    stage.running.tell(["late", "10"])
    assert asked(stage, "10:20").kind is Kind.CHANGED
    assert asked(stage, "10:20").at == stage.at("10:40")
    assert asked(stage, "10:31").kind is Kind.NEXT


def test_answers_are_silent_or_soft_where_the_quiet_interval_or_the_piece_says_so(open_stage):
    stage = open_stage()
    for clock, how in [
        ("10:10", Manner.ALOUD),
        ("10:31", Manner.SOFTLY),
        ("11:02", Manner.SILENT),
        ("11:15", Manner.SILENT),
        ("12:15", Manner.SOFTLY),
        ("12:20", Manner.ALOUD),
    ]:
        stage.turn(clock)
        assert manner(stage.state, stage.clock.now()) is how, clock


def test_a_machine_that_wakes_in_the_past_has_lost_the_time(open_stage):
    before = open_stage()
    before.turn("11:40")
    before.running.asked("key")
    resumed = open_stage("09:00", journal=before.journal)
    resumed.running.trusts(Doubted("the clock shows last year", resumed.clock.now()))
    assert answer(resumed.state, resumed.clock.now()).kind is Kind.CLOCK_UNSET
    assert resumed.state.stage is DayStage.HELD
