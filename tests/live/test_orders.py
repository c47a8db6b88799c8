"""The keeper's orders: each says what it changes, refuses with the rule, and can be tried first."""

from __future__ import annotations

import pytest

from showtime.live import Outcome
from showtime.live import events as happened
from showtime.live.asked import QuestionError


def coming(stage):
    return [f"{slot.starts:%H:%M} {slot.piece}" for slot in stage.state.upcoming]


def outcomes(stage):
    return {f"{p.told:%H:%M}": p.outcome for p in stage.state.promises}


@pytest.fixture
def stage(open_stage):
    """The short day at five past ten: nothing was asked yet."""
    opened = open_stage()
    opened.turn("10:05")
    return opened


def test_play_now_starts_at_once_and_the_rest_keeps_its_times(stage):
    said = stage.running.tell(["play", "dance"])
    assert stage.state.playing.piece == "Dance"
    assert "10:05 Dance is new" in said
    assert coming(stage)[0] == "10:30 Bells"


def test_play_now_is_refused_with_the_rule_and_the_time_when_it_is_allowed(open_stage):
    stage = open_stage()
    stage.turn("11:12")
    said = stage.running.tell(["play", "Bells"])
    assert said.startswith("Bells not now: Bells at 11:12 would sound in a quiet interval")
    assert said.endswith("Allowed at 11:25.")
    assert stage.state.playing is None


def test_play_now_does_not_push_a_promise_aside(stage):
    stage.running.asked("key")  # 10:30 is promised
    stage.turn("10:24")
    said = stage.running.tell(["play", "Dance"])
    assert "10:30" in said
    assert said.endswith("Allowed at 10:45.")
    assert stage.state.playing is None


def test_late_says_what_becomes_of_it(stage):
    said = stage.running.tell(["late", "10"])
    assert "10:30 Bells becomes 10:40" in said


def test_one_is_called_off_by_its_time(stage):
    assert stage.running.tell(["off", "11:00"]) == "11:00 Dance is left out."
    assert "11:00 Dance" not in coming(stage)


def test_nothing_is_planned_again_over_what_was_called_off(stage):
    stage.running.tell(["off", "11:00"])
    said = stage.running.tell(["add", "11:00"])
    assert "called off by the keeper" in said


def test_one_is_added_where_the_rules_allow_it(stage):
    said = stage.running.tell(["add", "10:15", "Bells"])
    assert said == "10:15 Bells is new."
    assert coming(stage)[0] == "10:15 Bells"


def test_adding_pushes_aside_what_nobody_was_promised(stage):
    said = stage.running.tell(["add", "10:35", "Bells"])
    assert "10:30 Bells becomes 10:35" in said


def test_adding_in_the_past_or_against_a_rule_is_refused(stage):
    assert "has passed" in stage.running.tell(["add", "10:00"])
    assert "quiet interval" in stage.running.tell(["add", "11:15"])
    assert "11:15 Bells" not in coming(stage)


def test_quiet_from_now_hushes_calls_and_performances(stage):
    said = stage.running.tell(["quiet", "30", "a", "speech"])
    assert "10:30 Bells" in said
    stage.turn("10:34")
    assert not [e for e in stage.journal if isinstance(e, happened.Answered | happened.Started)]
    assert stage.state.day.quiet_at(stage.clock.now()).why == "a speech"


def test_quiet_for_later(stage):
    stage.running.tell(["quiet", "11:50", "12:10", "the mayor"])
    assert "12:00 Dance" not in coming(stage)


def test_closing_early_leaves_out_what_would_come_after(stage):
    said = stage.running.tell(["close", "12:05"])
    assert "12:30 Bells is left out" in said
    assert "12:00 Dance is left out" in said
    assert coming(stage)[-1] == "11:30 Bells"


def test_closing_late_is_refused(stage):
    assert "closes anyway" in stage.running.tell(["close", "14:00"])


def test_another_piece_is_picked_for_the_next_start(stage):
    stage.running.tell(["piece", "dance"])
    assert coming(stage)[0] == "10:30 Dance"
    assert stage.running.tell(["piece", "Dance"]) == "Dance is next already."


def test_the_last_action_is_taken_back_within_a_minute(stage):
    before = coming(stage)
    stage.running.tell(["off", "11:00"])
    stage.turn("10:05:50")
    said = stage.running.tell(["undo"])
    assert said.startswith("off 11:00 is taken back.")
    assert coming(stage) == before
    assert stage.running.tell(["undo"]).startswith("There is nothing")


def test_after_a_minute_it_stands(stage):
    stage.running.tell(["off", "11:00"])
    stage.turn("10:06:01")
    assert stage.running.tell(["undo"]).startswith("There is nothing")
    assert "11:00 Dance" not in coming(stage)


def test_a_promise_that_was_moved_and_moved_back_is_a_promise_again(stage):
    stage.running.asked("key")
    stage.running.tell(["late", "10"])
    assert outcomes(stage) == {"10:30": Outcome.CHANGED, "10:40": Outcome.OPEN}
    stage.turn("10:05:30")
    stage.running.tell(["undo"])
    assert outcomes(stage) == {"10:30": Outcome.OPEN, "10:40": Outcome.CHANGED}
    stage.turn("10:31")
    assert outcomes(stage)["10:30"] is Outcome.KEPT


@pytest.mark.parametrize(
    "words",
    [["late", "10"], ["off", "11:00"], ["quiet", "20"], ["close", "12:00"], ["piece", "Dance"],
     ["add", "10:15"], ["skip"], ["play"], ["hold"]],
)  # fmt: skip
def test_any_order_can_be_tried_and_says_the_same_when_given(stage, words):
    state, journal = stage.state, list(stage.journal)
    would = stage.running.would(words)
    assert (stage.state, list(stage.journal)) == (state, journal)
    assert stage.running.tell(words) == would


@pytest.mark.parametrize(
    "words",
    [[], ["fly"], ["late"], ["late", "soon"], ["late", "0"], ["late", "9999"], ["off", "noonish"],
     ["add"], ["quiet"], ["quiet", "11:00"], ["piece"], ["piece", "Waltz"], ["play", "Waltz"]],
)  # fmt: skip
def test_what_is_no_order_is_told_how_to_say_it(stage, words):
    before = stage.state
    with pytest.raises(QuestionError):
        stage.running.tell(words)
    assert stage.state is before


def test_a_hold_comes_before_all_else_and_says_why(stage):
    stage.running.tell(["play"])
    stage.running.tell(["hold", "a", "string", "snapped"])
    assert stage.figure.told[-1] == "stop"
    assert stage.state.hold == "a string snapped"


def test_when_a_hold_has_cost_a_promise_the_figure_says_so_once_released(stage):
    stage.running.asked("key")
    stage.turn("10:25:30")
    stage.running.tell(["hold"])
    stage.turn("10:33")
    stage.running.tell(["release"])
    said = [e for e in stage.journal if isinstance(e, happened.Answered)][-1]
    assert (said.trigger, said.kind.value) == ("of itself", "changed")
    assert stage.state.promises[0].apologised == 1
