"""A keeper with one button and nothing else sets the next performance."""

from __future__ import annotations

import pytest

from showtime.triggers.stepping import Outcome, Step, Stepping

S = 1_000_000
ALLOWED = ("14:20", "14:35", "15:00")


def test_short_presses_step_through_the_times_that_are_allowed_and_round_again():
    stepping: Stepping[str] = Stepping()
    offered = [stepping.step(n * S, ALLOWED) for n in range(4)]
    assert [step.time for step in offered] == ["14:20", "14:35", "15:00", "14:20"]
    assert {step.outcome for step in offered} == {Outcome.OFFERED}


def test_a_long_one_accepts_the_time_spoken_last_and_only_once():
    stepping: Stepping[str] = Stepping()
    stepping.step(0, ALLOWED)
    stepping.step(S, ALLOWED)
    assert stepping.accept() == Step(Outcome.ACCEPTED, "14:35")
    assert stepping.accept() is None
    assert stepping.tick(60 * S) is None


def test_a_long_press_out_of_the_blue_sets_nothing():
    assert Stepping().accept() is None


def test_a_pause_gives_up():
    stepping: Stepping[str] = Stepping()
    stepping.step(0, ALLOWED)
    assert stepping.tick(9 * S) is None
    assert stepping.tick(10 * S) == Step(Outcome.CANCELLED, "14:20")
    assert stepping.accept() is None


def test_the_pause_begins_with_the_last_step_or_when_the_figure_has_spoken():
    stepping: Stepping[str] = Stepping()
    stepping.step(0, ALLOWED)
    stepping.step(8 * S, ALLOWED)
    stepping.busy(11 * S)
    assert stepping.tick(20 * S) is None
    assert stepping.tick(21 * S) == Step(Outcome.CANCELLED, "14:35")


def test_the_next_setting_begins_with_the_first_time_again():
    stepping: Stepping[str] = Stepping()
    stepping.step(0, ALLOWED)
    stepping.accept()
    assert stepping.step(S, ALLOWED).time == "14:20"


def test_when_nothing_is_allowed_it_says_so():
    stepping: Stepping[str] = Stepping()
    assert stepping.step(0, ()) == Step(Outcome.NOTHING_ALLOWED, None)
    assert stepping.accept() is None


@pytest.mark.parametrize(
    ("now_allowed", "then"),
    [
        (("14:20", "14:25", "14:35"), "14:25"),  # goes on behind the one that was spoken
        (("14:35", "15:00"), "14:35"),  # that one is allowed no more: from the first
        (("14:20",), "14:20"),
    ],
)
def test_what_is_allowed_may_change_between_two_steps(now_allowed, then):
    stepping: Stepping[str] = Stepping()
    stepping.step(0, ALLOWED)
    assert stepping.step(S, now_allowed).time == then


def test_when_nothing_is_allowed_any_more_what_was_offered_is_gone():
    stepping: Stepping[str] = Stepping()
    stepping.step(0, ALLOWED)
    assert stepping.step(S, ()).outcome is Outcome.NOTHING_ALLOWED
    assert stepping.offered is None
