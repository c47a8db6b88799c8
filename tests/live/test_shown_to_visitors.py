"""A time that visitors are shown is told as much as one that they hear."""

from __future__ import annotations

import random

import pytest

from showtime.live import Outcome, Stage, answer, promises_at
from showtime.wording import Kind


def board_answers(stage):
    return [e for e in stage.journal if getattr(e, "trigger", "") == "board"]


def test_the_start_that_is_shown_is_promised_once(open_stage):
    stage = open_stage("10:00")
    for _ in range(3):
        stage.running.shown()
    (promise,) = stage.state.promises
    assert promise.told == stage.at("10:30")
    assert promise.triggers == ("board",)
    assert len(board_answers(stage)) == 1


def test_the_next_start_is_promised_when_the_one_before_has_begun(open_stage):
    stage = open_stage("10:29")
    stage.running.shown()
    stage.turn("10:31")
    stage.running.shown()
    assert [p.outcome for p in stage.state.promises] == [Outcome.KEPT, Outcome.OPEN]


def test_nobody_asked_and_nothing_was_said(open_stage):
    stage = open_stage("10:00")
    stage.running.shown()
    assert stage.state.asked == 0
    assert stage.state.last_answer is None
    assert stage.state.said == ()
    assert not stage.speech.speaking


def test_showing_the_new_time_is_no_apology_for_the_old_one(open_stage):
    stage = open_stage("11:12")  # in a quiet time the figure cannot own up at once
    stage.running.asked("key")
    stage.running.tell(["late", "10"])
    stage.running.shown()
    moved = stage.state.promises[0]
    assert moved.outcome is Outcome.CHANGED
    assert moved.apologised == 0
    assert board_answers(stage)[-1].told == stage.state.upcoming[0].starts
    stage.turn("11:26")
    assert stage.state.promises[0].apologised == 1
    assert stage.state.last_answer.kind is Kind.CHANGED


def test_a_start_that_was_shown_is_kept_when_the_day_is_planned_anew(open_stage):
    stage = open_stage("10:00")
    stage.running.shown()
    said = stage.running.tell(["quiet", "10:28", "10:40"])
    assert "10:30" in said
    assert stage.state.promises[0].outcome is Outcome.CHANGED


def test_while_the_day_is_held_no_time_is_told(open_stage):
    stage = open_stage("10:00")
    stage.running.tell(["hold"])
    stage.running.shown()
    assert stage.state.promises == ()


ORDERS = ("late 5", "late 10", "skip", "quiet 10", "play", "undo", "hold", "release", "close 12:00")


@pytest.mark.parametrize("seed", range(6))
def test_whatever_was_shown_comes_or_is_owned_up_to(open_stage, seed):
    """A day of orders, a board that is looked at each minute: no shown start vanishes silently."""
    stage, luck, shown = open_stage("09:55"), random.Random(seed), set()
    for minute in range(190):
        clock = f"{9 + (55 + minute) // 60}:{(55 + minute) % 60:02}"
        stage.turn(clock)
        told = answer(stage.running.shown(), stage.clock.now()).at
        if told is not None and told > stage.clock.now():
            assert told in [p.told for p in stage.state.promises]
            shown.add(told)
        if luck.random() < 0.15:
            stage.running.tell(luck.choice(ORDERS).split())
        if stage.state.stage is Stage.HELD and luck.random() < 0.5:
            stage.running.tell(["release"])
    assert shown
    became = {p.told: p for p in promises_at(stage.state, stage.clock.now())}
    for told in shown:
        if became[told].outcome is Outcome.BROKEN:
            assert became[told].why or became[told].is_unsaid, "late, missed, or nobody was there"
