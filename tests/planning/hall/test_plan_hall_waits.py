"""The last levels as the organiser meets them: nobody's visitors wait long without a reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from random import Random
from time import process_time

import pytest

from showtime.fair import Day, Performance, Piece
from showtime.fair.hall import HallDay, HallPlan, HallWish, Place
from showtime.fair.wishes import Wishes, waits
from showtime.planning.hall import broken_in_hall, plan_hall
from showtime.settings import load_fair

MakeHall = Callable[..., HallDay]
ROOT = Path(__file__).parents[3]
MINUTE = timedelta(minutes=1)
BELLS = Piece("Frost Bells", 5 * MINUTE, level_dba=74)


def planned(hall: HallDay, limit: float) -> HallPlan:
    """Within so many seconds of the processor: a busy machine plans no worse."""
    found = plan_hall(hall, limit=limit, monotonic=process_time)
    assert isinstance(found, HallPlan)
    assert broken_in_hall(hall, found.performances) == ()
    return found


def levels(plan: HallPlan) -> dict[HallWish, float]:
    return {level.name: level.value for level in plan.levels}


def longest(day: Day, given: tuple[Performance, ...]) -> timedelta:
    return max(waits(day.hours, [one.starts for one in given]))


@pytest.fixture(scope="module")
def demo() -> HallDay:
    fair = load_fair(ROOT / "config" / "osierholt-fair.yaml")
    hall = fair.hall(date(2027, 2, 13))
    assert hall is not None
    return hall


def test_no_stall_of_the_demo_fair_is_silent_for_an_afternoon_where_noise_does_not_matter(
    demo: HallDay,
) -> None:
    hall = replace(demo, noise=())
    plan = planned(hall, limit=8.0)
    for day, given in zip(hall.days, plan.performances, strict=True):
        # The longest talk that silences a stall is 45 minutes; the bandstand and lunch take more.
        assert longest(day, given) <= 75 * MINUTE, day.signboard.stall


def test_the_demo_fair_s_waits_are_short_for_what_the_levels_before_leave(demo: HallDay) -> None:
    """113.6 minutes after 11 s of one processor; a bound of 108.4 was proven."""
    plan = planned(demo, limit=10.0)
    found = {level.name: level for level in plan.levels}
    assert found[HallWish.SMALLEST_SHARE].proven
    assert found[HallWish.WORTH].value == pytest.approx(153)
    assert found[HallWish.WAIT].value < 125


def test_neighbours_take_turns_as_evenly_as_the_grid_allows(make_hall: MakeHall) -> None:
    """Six each of 5 minutes in an hour: 0, 10, ... and 5, 15, ...; (6 x 100) / 120 = 5 min and
    (2 x 25 + 5 x 100) / 120 = 4 min 35 s."""
    plan = planned(make_hall(2, hours=1, pieces=(BELLS,)), limit=20.0)
    wait = next(level for level in plan.levels if level.name is HallWish.WAIT)
    assert wait.value == pytest.approx(5 + 550 / 120)
    assert wait.proven


def test_three_who_must_all_move_to_let_each_other_wait_less(make_hall: MakeHall) -> None:
    """One at a time sounds, each plays twice in the hour: no stall can move beside the others
    alone to where it would wait least, and still the sum is the least there can be."""
    hall = make_hall(3, hours=1, apart_m=1, pieces=(Piece("Long", 10 * MINUTE, level_dba=74),))
    hall = replace(hall, days=tuple(replace(d, wishes=Wishes(most=2)) for d in hall.days))
    plan = planned(hall, limit=20.0)
    found = {level.name: level for level in plan.levels}
    assert [len(given) for given in plan.performances] == [2, 2, 2]
    assert found[HallWish.WAIT].proven
    # Each hour is full of sound: starts 0 to 50 by tens, two a stall: 20 and 40, 10 and 30 or 50...
    assert found[HallWish.WAIT].value == pytest.approx(least_of_pairs())


def least_of_pairs() -> float:
    """Six starts dealt out to three stalls in every way."""
    starts = (0, 10, 20, 30, 40, 50)
    best = float("inf")
    for one in _pairs(starts):
        for two in _pairs(tuple(s for s in starts if s not in one)):
            three = tuple(s for s in starts if s not in one and s not in two)
            best = min(best, sum(map(_mean_wait, (one, two, three))))
    return best


def _pairs(starts: tuple[int, ...]) -> list[tuple[int, int]]:
    return [(a, b) for a in starts for b in starts if a < b]


def _mean_wait(pair: tuple[int, ...]) -> float:
    first, second = sorted(pair)
    return (first**2 + (second - first) ** 2 + (60 - second) ** 2) / 120


def test_round_times_are_sought_only_where_nobody_waits_longer_for_them(
    make_hall: MakeHall,
) -> None:
    plain = make_hall(3, hours=2, pieces=(BELLS,))
    wish = Wishes(prefer_minutes=(0, 30))
    rounder = replace(plain, days=tuple(replace(day, wishes=wish) for day in plain.days))
    with_wish, without = levels(planned(rounder, 5.0)), levels(planned(plain, 5.0))
    for name in list(HallWish)[:4]:
        assert with_wish[name] == pytest.approx(without[name]), name


def test_more_time_never_makes_an_earlier_level_worse(
    random_hall: Callable[..., HallDay],
) -> None:
    """Of the first level on which the plans differ, the longer search has the better."""
    for seed in range(4):
        hall = random_hall(Random(700 + seed), (3, 5))
        short, long = planned(hall, 0.3), planned(hall, 3.0)
        pairs = [(levels(short)[name], levels(long)[name]) for name in HallWish]
        signs = [1, 1, 1, -1, -1]
        told = [(sign * a, sign * b) for sign, (a, b) in zip(signs, pairs, strict=True)]
        ahead = next(((a, b) for a, b in told if abs(a - b) > 1e-6), (0.0, 0.0))
        assert ahead[0] <= ahead[1], f"fair of seed {700 + seed}"


def test_a_row_of_more_stalls_than_are_decided_as_a_whole_has_bounds_too(
    make_hall: MakeHall,
) -> None:
    hall = make_hall(14, hours=2, pieces=(BELLS,))
    hall = replace(hall, places=tuple(Place(3.0 * (n % 4), 3.0 * (n // 4)) for n in range(14)))
    plan = planned(hall, limit=4.0)
    wait = next(level for level in plan.levels if level.name is HallWish.WAIT)
    assert 0 < wait.bound <= wait.value
