"""Whole days in simulated time: every rule and every promise is kept, whatever the keeper does."""

from __future__ import annotations

import time

import pytest

from showtime.live import Outcome
from showtime.live.planned import replanner
from showtime.live.rehearsal import Crowd, rehearse


@pytest.fixture(scope="module")
def rehearsed_day(tin_orchard, saturday_plan, english):
    def rehearsed(seed, **crowd):
        return rehearse(
            tin_orchard,
            saturday_plan,
            {"en": english},
            replanner(time.monotonic),
            seed=seed,
            crowd=Crowd(**crowd),
        )

    return rehearsed


@pytest.mark.parametrize("seed", range(12))
def test_no_rule_and_no_promise_is_broken(rehearsed_day, seed):
    day = rehearsed_day(seed)
    assert day.broken == ()
    assert day.count(Outcome.BROKEN) == 0
    assert day.state.asked > 150


def test_the_same_seed_gives_the_same_day(rehearsed_day):
    assert rehearsed_day(3).state == rehearsed_day(3).state


def test_with_a_punctual_keeper_every_promise_is_kept(rehearsed_day, saturday_plan):
    day = rehearsed_day(5, incidents=0.0)
    assert day.count(Outcome.CHANGED) == 0
    assert day.count(Outcome.KEPT) == len(day.state.promises)
    assert len(day.state.played) == len(saturday_plan.performances)


def test_with_a_keeper_who_is_always_late_times_are_changed_with_an_apology(rehearsed_day):
    day = rehearsed_day(6, incidents=1.0)
    assert day.count(Outcome.CHANGED) > 0
    assert day.broken == ()
    assert day.count(Outcome.BROKEN) == 0


def test_no_words_come_again_within_a_hundred_answers(rehearsed_day):
    day = rehearsed_day(8)
    assert len(set(day.state.said)) == len(day.state.said) == 100


def test_nothing_is_planned_anew_before_a_late_keeper_is_back(rehearsed_day):
    states = [rehearsed_day(seed, incidents=1.0).state for seed in range(8)]
    late = [state for state in states if state.not_before is not None]
    assert late
    for state in late:
        assert not [s for s in state.upcoming if s.starts < state.not_before]
