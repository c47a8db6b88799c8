"""A piece that takes a little longer than it should pushes the next start, if it must."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from showtime.live import Outcome, Stage
from showtime.live import events as happened
from showtime.live.keeper.mend import breaks, performed
from showtime.live.reports import Ended


@pytest.fixture
def short_day(short_day):
    """The short day, with starts at any minute."""
    wishes = replace(short_day.wishes, start_on=timedelta(minutes=1))
    return replace(short_day, wishes=wishes)


def started(stage):
    found = [event for event in stage.journal if isinstance(event, happened.Started)]
    return [f"{event.at:%H:%M:%S}" for event in found]


@pytest.fixture
def close_stage(open_stage):
    """Bells at 10:30 and again at 10:41, exactly the gap after it; the figure tells its end."""
    stage = open_stage()
    stage.figure.patience = timedelta(seconds=90)
    stage.turn("10:20")
    stage.running.tell(["add", "10:41", "Bells"])
    stage.turn("10:31")
    stage.running.asked("key")
    assert stage.state.promised() == (stage.at("10:41"),)
    return stage


def promise_of(stage, clock):
    return next(promise for promise in stage.state.promises if promise.told == stage.at(clock))


def ends(stage, clock):
    stage.turn(clock)
    stage.running.figure_says(Ended("Bells"))


def test_on_time_the_next_is_on_time(close_stage):
    ends(close_stage, "10:35")
    close_stage.turn("10:42")
    assert started(close_stage) == ["10:30:00", "10:41:00"]


def test_four_seconds_too_long_the_next_is_four_seconds_late_and_the_promise_kept(close_stage):
    ends(close_stage, "10:35:04")
    assert close_stage.state.played[-1].overran == timedelta(seconds=4)
    close_stage.turn("10:42")
    assert started(close_stage) == ["10:30:00", "10:41:04"]
    assert promise_of(close_stage, "10:41").outcome is Outcome.KEPT
    day = close_stage.state.day
    assert {rule for rule, _ in breaks(day, performed(close_stage.state))} <= {"grid", "piece"}


def test_so_much_too_long_that_the_promise_cannot_be_kept_is_taken_back(close_stage):
    ends(close_stage, "10:36:20")
    close_stage.turn("10:43")
    assert started(close_stage) == ["10:30:00"]
    promise = promise_of(close_stage, "10:41")
    assert (promise.outcome, promise.apologised) == (Outcome.CHANGED, 1)
    assert close_stage.state.stage is Stage.WAITING


def test_a_held_day_does_not_make_up_for_it(close_stage):
    ends(close_stage, "10:35:04")
    close_stage.turn("10:41:02")
    close_stage.running.tell(["hold"])
    close_stage.turn("10:41:30")
    assert started(close_stage) == ["10:30:00"]
