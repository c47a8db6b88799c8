"""Wishes count in the order that the keeper gives them, and a level says what it is worth."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import count, permutations
from time import monotonic

import pytest

from showtime.fair import Day, Plan
from showtime.fair.wishes import Fixed, Wish
from showtime.planning import Clash, broken, plan


def planned(day: Day, **how: object) -> Plan:
    found = plan(day, **{"monotonic": monotonic, **how})
    assert isinstance(found, Plan)
    return found


def ordered(day: Day, *order: Wish) -> Day:
    return replace(day, wishes=replace(day.wishes, order=order))


@pytest.mark.parametrize("order", list(permutations(Wish))[::5])
def test_any_order_is_followed_and_all_of_it_proven(order: tuple[Wish, ...], demo_day: Day) -> None:
    day = ordered(demo_day, *order)
    found = planned(day)
    assert tuple(level.name for level in found.levels) == order
    assert all(level.proven for level in found.levels)
    assert broken(day, found.performances) == ()
    alone = planned(ordered(day, order[0]))
    assert found.levels[0].value == pytest.approx(alone.levels[0].value)


def test_a_later_level_never_makes_an_earlier_one_worse(demo_day: Day) -> None:
    every = list(Wish)
    whole = planned(demo_day).levels
    for length in range(1, len(every) + 1):
        levels = planned(ordered(demo_day, *every[:length])).levels
        assert [level.value for level in levels] == [level.value for level in whole[:length]]


def test_a_day_without_wishes_has_what_is_fixed_and_no_levels(demo_day: Day) -> None:
    found = planned(ordered(demo_day))
    assert found.levels == ()
    assert [one.piece.name for one in found.performances] == ["The Pear Dance"]


def test_the_mean_wait_of_the_levels_is_that_of_the_plan(demo_day: Day) -> None:
    found = planned(demo_day)
    told = {level.name: level.value for level in found.levels}
    assert told[Wish.WAIT] == pytest.approx(found.mean_wait.total_seconds() / 60)


def test_a_finer_grid_never_gives_less(make_demo: Callable[..., Day]) -> None:
    coarse, fine = planned(make_demo(10)), planned(make_demo(5))
    assert fine.levels[0].value >= coarse.levels[0].value


def test_with_no_time_at_all_there_is_still_a_valid_plan_and_nothing_is_proven(
    demo_day: Day,
) -> None:
    found = planned(demo_day, limit=0.0)
    assert broken(demo_day, found.performances) == ()
    assert len(found.performances) > 5
    assert not any(level.proven for level in found.levels)
    assert [level.name for level in found.levels] == list(Wish)


def ticking(step: float) -> Callable[[], float]:
    """A clock that is `step` seconds further each time one looks."""
    ticks: Iterator[int] = count()
    return lambda: next(ticks) * step


@pytest.mark.parametrize("looks", [2, 4, 6, 8, 10, 13, 17])
def test_when_time_runs_out_on_the_way_the_levels_settled_so_far_are_the_true_ones(
    looks: int, demo_day: Day
) -> None:
    found = planned(demo_day, limit=20.0, monotonic=ticking(20 / looks))
    best = planned(demo_day)
    assert broken(demo_day, found.performances) == ()
    proven = [level.proven for level in found.levels]
    assert proven == sorted(proven, reverse=True)
    for level, true in zip(found.levels, best.levels, strict=True):
        if level.proven:
            assert level.value == pytest.approx(true.value)


def test_what_is_fixed_is_there_even_without_time_and_a_clash_is_told(demo_day: Day) -> None:
    fixed = demo_day.wishes.fixed[0]
    assert fixed.at in planned(demo_day, limit=0.0).starts
    day = replace(
        demo_day, wishes=replace(demo_day.wishes, fixed=(Fixed(demo_day.quiet[2].span.start),))
    )
    assert isinstance(plan(day, limit=0.0, monotonic=monotonic), Clash)


def test_the_seconds_told_are_those_of_the_clock_handed_in(demo_day: Day) -> None:
    times = iter([100.0])
    found = planned(demo_day, monotonic=lambda: next(times, 103.5))
    assert found.seconds == 3.5
