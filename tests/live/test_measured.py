"""The figure measures its own warmth: from then on the plan goes by that, not by the model."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from math import exp

import pytest

from showtime.fair import budgets
from showtime.live import DayState, Outcome, Stage, fold
from showtime.live import events as happened
from showtime.live.keeper.mend import breaks, performed
from showtime.live.reports import Failed, Readings, Well
from showtime.live.warm import expected, heat_of

HEAT = budgets.Heat(timedelta(minutes=25), ambient_c=20, hold_k=5, limit_c=45)


@pytest.fixture
def short_day(short_day):
    """The short day with motors that warm."""
    pieces = tuple(replace(piece, heat_k=60, current_a=2.0) for piece in short_day.pieces)
    return replace(short_day, pieces=pieces, budgets=(*short_day.budgets, HEAT))


def events(stage, kind):
    return [event for event in stage.journal if isinstance(event, kind)]


def starts(stage):
    return [f"{slot.starts:%H:%M}" for slot in stage.state.upcoming]


def says(stage, **readings):
    stage.running.figure_says(Readings(**readings))


def test_motors_as_warm_as_expected_change_nothing(open_stage):
    stage = open_stage()
    stage.turn("10:20")
    before = starts(stage)
    says(stage, celsius=25.0)
    assert starts(stage) == before
    assert [event.rise_mk for event in events(stage, happened.Measured)] == [5000]


def test_motors_that_are_warmer_move_what_no_longer_fits_and_the_figure_is_sorry(open_stage):
    stage = open_stage()
    stage.turn("10:20")
    stage.running.asked("key")
    stage.turn("10:28")
    says(stage, celsius=44.0)
    assert "10:30" not in starts(stage)
    promise, *_ = stage.state.promises
    assert (promise.outcome, promise.apologised) == (Outcome.CHANGED, 1)
    assert "cool down" in promise.why


def test_motors_above_their_limit_start_nothing_until_they_have_cooled(open_stage):
    stage = open_stage()
    stage.turn("10:28")
    says(stage, celsius=60.0)
    said = stage.running.tell(["play"])
    assert "Bells not now: " in said
    assert "cool down" in said
    cool = 25 * 60 * 0.5596  # ln((40 - 5) / (25 - 5))
    stage.turn("12:50")
    for event in events(stage, happened.Started):
        assert event.at >= stage.at("10:28") + timedelta(seconds=cool)
    assert events(stage, happened.Started)


def test_what_is_played_after_a_measurement_keeps_the_limit_from_there(open_stage):
    stage = open_stage()
    for clock, celsius in (("10:25", 38.0), ("10:40", 42.0), ("11:20", 30.0), ("11:50", 41.0)):
        stage.turn(clock)
        says(stage, celsius=celsius)
        day, coming = stage.state.to_plan, stage.state.upcoming
        known = [(slot.starts, stage.day.piece(slot.piece)) for slot in coming]
        assert rise_at_its_highest(stage, celsius - 20, known) <= 25 + 1e-6
        assert breaks(day, performed(stage.state)) == frozenset()


def rise_at_its_highest(stage, rise, coming):
    """The lag stepped second by second, knowing nothing of how the program does it."""
    now, highest = stage.clock.now(), rise
    begun = stage.state.played[-1] if stage.state.playing else None
    while now < stage.day.hours.end:
        sounding = [p for at, p in coming if at <= now < at + p.lasts]
        if begun and now < begun.started + stage.day.piece(begun.slot.piece).lasts:
            sounding = [stage.day.piece(begun.slot.piece)]
        target = sounding[0].heat_k if sounding else HEAT.hold_k
        rise += (target - rise) * (1 - exp(-1 / 1500))
        highest = max(highest, rise)
        now += timedelta(seconds=1)
    return highest


def test_a_cooler_figure_is_planned_for_anew(open_stage):
    asked = []
    stage = open_stage(replanner=lambda state, now: asked.append(now))
    stage.turn("10:36")
    says(stage, celsius=22.0)
    assert asked == [stage.at("10:36")]


def test_as_warm_as_expected_nothing_is_planned_anew(open_stage):
    asked = []
    stage = open_stage(replanner=lambda state, now: asked.append(now))
    for clock in ("10:10", "10:16", "10:22"):
        stage.turn(clock)
        says(stage, celsius=25.1)
    assert len(events(stage, happened.Measured)) == 3
    assert asked == []


def test_the_same_again_is_put_down_once_in_five_minutes(open_stage):
    stage = open_stage()
    stage.turn("10:05")
    for second in range(0, 60, 10):
        stage.turn(f"10:06:{second:02}")
        says(stage, celsius=25.2)
    assert len(events(stage, happened.Measured)) == 1
    stage.turn("10:12")
    says(stage, celsius=25.2)
    assert len(events(stage, happened.Measured)) == 2
    says(stage, celsius=26.5)
    assert len(events(stage, happened.Measured)) == 3


def test_without_a_thermometer_the_current_tells_how_the_motors_warm(open_stage):
    stage = open_stage()
    stage.turn("10:30:01")
    says(stage, amperes=2.0)
    stage.turn("10:34:59")
    says(stage, amperes=3.0)
    measured = stage.state.measured
    nominal = 60 - (60 - 5) * exp(-299 / 1500)
    assert measured.rise_mk / 1000 == pytest.approx(nominal, abs=0.1)
    stage.turn("11:00")
    says(stage, amperes=3.0)
    begun = stage.state.measured.rise_mk / 1000
    stage.turn("11:05")
    says(stage, amperes=3.0)
    warmer = 5 + (60 - 5) * 1.5**2
    assert stage.state.measured.rise_mk / 1000 == pytest.approx(
        warmer + (begun - warmer) * exp(-300 / 1500), abs=0.1
    )


def test_what_is_expected_is_the_model_until_something_is_measured(open_stage):
    stage = open_stage()
    stage.turn("12:00")
    state, now = stage.state, stage.clock.now()
    heat = heat_of(state.day)
    reckoned = expected(state.day, heat, None, state.played, now)
    course = 5.0
    at = stage.at("10:00")
    for start, lasts in (("10:30", 5), ("11:00", 8), ("11:30", 5)):
        begins = stage.at(start)
        course = 5 + (course - 5) * exp(-(begins - at).total_seconds() / 1500)
        course = 60 + (course - 60) * exp(-lasts * 60 / 1500)
        at = begins + timedelta(minutes=lasts)
    course = 5 + (course - 5) * exp(-(stage.at("12:00") - at).total_seconds() / 1500)
    assert reckoned == pytest.approx(course, abs=0.05)


def test_the_journal_folds_to_the_live_state_whatever_was_measured(open_stage):
    stage = open_stage()
    for clock in ("10:28", "10:33", "11:05", "11:40"):
        stage.turn(clock)
        says(stage, celsius=24.0 + stage.clock.now().minute / 3, amperes=1.0, battery=88.0)
    assert fold(DayState(stage.day, stage.state.keep_within), stage.journal) == stage.state


def test_a_measurement_before_opening_or_after_the_end_is_of_no_account(open_stage):
    stage = open_stage()
    says(stage, celsius=60.0)
    assert not events(stage, happened.Measured)


def test_a_figure_that_fails_while_it_is_held_is_released_only_when_it_is_well(open_stage):
    stage = open_stage()
    stage.turn("10:20")
    stage.running.tell(["hold"])
    stage.running.figure_says(Failed("the figure is jammed"))
    assert stage.running.trouble == "the figure is jammed"
    assert stage.running.tell(["release"]) == "Not yet: the figure is jammed."
    assert stage.running.would(["release"]) == "Not yet: the figure is jammed."
    stage.running.figure_says(Well())
    assert stage.state.stage is Stage.HELD
    assert stage.running.tell(["release"]) == "Going on."
    assert stage.running.trouble == ""


def test_a_start_that_was_not_made_is_taken_back_and_the_figure_is_sorry(open_stage):
    stage = open_stage()
    stage.turn("10:20")
    stage.running.asked("key")
    stage.turn("10:30")
    stage.running.figure_says(Failed("Bells did not begin", lasting=False, begun=False))
    (promise,) = stage.state.promises
    assert (promise.outcome, promise.moved_to) == (Outcome.CHANGED, stage.at("11:00"))
    assert stage.running.trouble == "Bells did not begin"
    stage.running.tell(["release"])
    assert stage.state.promises[0].apologised == 1
    assert stage.running.trouble == ""


def test_every_fault_stops_the_figure(open_stage):
    stage = open_stage()
    stage.turn("10:31")
    stage.running.figure_says(Failed("something"))
    assert stage.figure.told[-1] == "stop"
    assert stage.state.playing is None
    assert stage.state.stage is Stage.HELD


def test_after_a_restart_what_was_wrong_is_asked_anew(open_stage):
    stage = open_stage()
    stage.turn("10:20")
    stage.running.figure_says(Failed("the figure is jammed"))
    again = open_stage("10:25", journal=stage.journal)
    assert again.state.stage is Stage.HELD
    assert again.running.trouble == ""
    assert again.running.tell(["release"]) == "Going on."
