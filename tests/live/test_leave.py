"""Every start asks the neighbours' leave: it comes, waits a little, or gives way and says sorry."""

from __future__ import annotations

from datetime import timedelta

import pytest

from showtime.fair import QuietInterval, Span
from showtime.live import DayState, Outcome, Stage, fold
from showtime.live import events as happened
from showtime.live.keeper.due import ELSEWHERE
from showtime.wording import Kind

CART = "a performance at The Lantern Cart"


def events(stage, kind):
    return [event for event in stage.journal if isinstance(event, kind)]


def outcomes(stage):
    return {f"{p.told:%H:%M}": p.outcome for p in stage.state.promises}


def starts(stage):
    return [f"{event.at:%H:%M:%S}" for event in events(stage, happened.Started)]


def promise(stage, clock):
    stage.turn(clock)
    return stage.running.asked("key").told


def test_leave_is_asked_for_all_the_time_that_a_piece_sounds(open_stage):
    stage = open_stage()
    stage.turn("10:31")
    assert stage.hall.asked == [Span(stage.at("10:30"), stage.at("10:35"))]


def test_a_start_waits_a_moment_for_an_answer_and_then_comes(open_stage):
    stage = open_stage()
    promise(stage, "10:10")
    stage.hall.keep_waiting()
    stage.turn("10:30:04")
    assert not events(stage, happened.Started)
    assert stage.running.asked("key").kind is Kind.SOON
    stage.hall.give()
    stage.turn("10:30:06")
    assert starts(stage) == ["10:30:05"]
    assert outcomes(stage)["10:30"] is Outcome.KEPT


def test_whoever_asks_while_it_waits_is_told_that_it_is_late(open_stage):
    stage = open_stage()
    stage.hall.keep_waiting()
    stage.turn("10:30:10")
    assert stage.running.asked("key").kind is Kind.LATE


@pytest.mark.parametrize("answer", ["keep_waiting", "refuse"])
def test_leave_that_never_comes_puts_a_promised_start_off_with_an_apology(open_stage, answer):
    stage = open_stage()
    promise(stage, "10:10")
    getattr(stage.hall, answer)()
    stage.turn("10:31:30")
    assert not events(stage, happened.Started)
    (gone,) = events(stage, happened.GaveWay)
    assert timedelta(0) < gone.at - stage.at("10:30") <= timedelta(seconds=60)
    assert gone.why == ELSEWHERE
    (moved,) = events(stage, happened.PromiseMoved)
    assert moved.to == stage.state.upcoming[0].starts == stage.at("10:35")
    assert outcomes(stage)["10:30"] is Outcome.CHANGED
    assert events(stage, happened.Answered)[-1].kind is Kind.CHANGED
    stage.hall.give()
    stage.turn("13:00")
    assert starts(stage)[0] == "10:35:00"
    assert Outcome.BROKEN not in outcomes(stage).values()


def test_an_unpromised_start_gives_way_without_a_word(open_stage):
    stage = open_stage()
    stage.hall.refuse()
    stage.turn("10:24")  # before the call
    stage.running.tell(["hold"])
    stage.turn("10:29:30")
    stage.running.tell(["release"])
    stage.turn("10:31:30")
    assert events(stage, happened.GaveWay)
    assert not events(stage, happened.Answered)


def test_a_refusal_for_a_known_reason_is_told_with_it(open_stage):
    stage = open_stage()
    promise(stage, "10:10")
    stage.turn("10:30")  # played
    stage.turn("10:40")
    promise(stage, "10:40")
    stage.hall.refuse()
    stage.turn("10:59:59")
    stage.hall.take_times(
        QuietInterval(CART, Span(stage.at("10:58"), stage.at("11:00:30")))
    )  # late, so that nothing is moved for it
    stage.turn("11:02")
    (gone,) = events(stage, happened.GaveWay)
    assert gone.why in (CART, ELSEWHERE)
    assert outcomes(stage)["11:00"] is Outcome.CHANGED


def test_refused_all_day_nothing_plays_and_no_word_is_broken(open_stage):
    stage = open_stage()
    stage.hall.refuse()
    for clock in ("10:10", "10:40", "11:30", "12:15", "12:40", "12:59"):
        promise(stage, clock)
    stage.turn("13:10")
    assert not events(stage, happened.Started)
    assert Outcome.BROKEN not in outcomes(stage).values()
    assert Outcome.OPEN not in outcomes(stage).values()
    assert fold(DayState(stage.day, timedelta(seconds=60)), stage.journal) == stage.state


def test_a_stall_that_is_cut_off_goes_on_with_its_plan(open_stage):
    stage = open_stage()
    stage.hall.refuse()
    stage.hall.go_silent()
    stage.turn("13:00")
    assert starts(stage) == ["10:30:00", "11:00:00", "11:30:00", "12:00:00", "12:30:00"]
    assert stage.running.neighbours.trouble == "the hall is not reached"


def test_a_late_start_may_reach_by_its_seconds_into_anothers_time_if_he_gives_leave(open_stage):
    stage = open_stage("10:05")
    stage.hall.take_times(QuietInterval(CART, Span(stage.at("10:35"), stage.at("10:40"))))
    stage.hall.keep_waiting()
    stage.turn("10:30:05")
    stage.hall.give()
    stage.turn("10:30:08")
    assert starts(stage) == ["10:30:06"]


def test_the_keeper_hears_in_words_why_not_now(open_stage):
    stage = open_stage("10:05")
    stage.hall.refuse()
    assert stage.running.tell(["play", "Bells"]) == f"Bells not now: {ELSEWHERE}."
    assert not events(stage, happened.Added)
    stage.hall.give()
    stage.running.tell(["play", "Bells"])
    assert stage.state.stage is Stage.PLAYING


def test_what_the_keeper_wants_at_once_waits_for_the_neighbours_answer(open_stage):
    stage = open_stage("10:05")
    stage.hall.keep_waiting()
    said = stage.running.tell(["play", "Bells"])
    assert said.endswith("The neighbours are asked first.")
    assert stage.state.stage is Stage.WAITING
    stage.turn("10:05:03")
    stage.hall.give()
    stage.turn("10:05:05")
    assert stage.state.stage is Stage.PLAYING


def test_trying_an_order_asks_nobody(open_stage):
    stage = open_stage("10:05")
    stage.running.would(["play", "Bells"])
    assert not stage.hall.asked


def test_a_release_asks_leave_for_what_is_just_due(open_stage):
    stage = open_stage()
    stage.turn("10:29")
    stage.running.tell(["hold"])
    stage.turn("10:30:20")
    stage.hall.refuse()
    stage.running.tell(["release"])
    assert not events(stage, happened.Started)
    stage.hall.give()
    stage.turn("10:30:25")
    assert starts(stage) == ["10:30:21"]
