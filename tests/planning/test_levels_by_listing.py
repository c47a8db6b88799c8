"""On days so small that all plans can be listed, the list has nothing better than the plan.

The rules are written down here once more, as plainly as possible, in minutes: a level is followed
from event to event, and a window is looked at wherever its sum can turn.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from math import exp
from random import Random
from time import monotonic

import pytest

from showtime.fair import Day, Performance, Piece, Plan, Span
from showtime.fair.budgets import Budget, Leak, Window
from showtime.fair.wishes import Wish, Wishes, mean_wait
from showtime.planning import Clash, plan

CHUNKS = 4
Set = tuple[Performance, ...]


def seconds(day: Day, performance: Performance) -> tuple[float, float]:
    begins = (performance.starts - day.hours.start).total_seconds()
    return begins, begins + performance.piece.lasts.total_seconds()


def window_level(day: Day, budget: Budget, chosen: Set, begins: float, ends: float) -> float:
    closes = day.hours.length.total_seconds()
    level = budget.initial if begins <= 0 < ends else 0.0
    level += budget.resting * max(0.0, min(ends, closes) - max(begins, 0.0))
    for performance in chosen:
        start, end = seconds(day, performance)
        spent = budget.spend(performance.piece)
        level += spent.at_start * (begins <= start < ends)
        sounding = max(0.0, min(ends, end) - max(begins, start))
        level += (spent.per_second - budget.resting) * sounding
    return level


def window_fits(day: Day, budget: Budget, chosen: Set, width: float) -> bool:
    marks = [0.0, day.hours.length.total_seconds()]
    marks += [moment for performance in chosen for moment in seconds(day, performance)]
    begins = [moment for mark in marks for moment in (mark, mark - width, mark - width + 1e-6)]
    return all(
        window_level(day, budget, chosen, moment, moment + width) <= budget.limit * (1 + 1e-9)
        for moment in begins
    )


def leak_fits(day: Day, budget: Budget, chosen: Set, constant: float) -> bool:
    level, now = budget.initial, 0.0
    peaks = [level]

    def run(until: float, per_second: float) -> None:
        nonlocal level, now
        target = per_second * constant
        level = target + (level - target) * exp(-(until - now) / constant)
        now = until
        peaks.append(level)

    for performance in chosen:
        start, end = seconds(day, performance)
        spent = budget.spend(performance.piece)
        run(start, budget.resting)
        level += spent.at_start
        peaks.append(level)
        run(end, spent.per_second)
    run(day.hours.length.total_seconds(), budget.resting)
    return max(peaks) <= budget.limit * (1 + 1e-9)


def fits(day: Day, budget: Budget, chosen: Set) -> bool:
    match budget.drain:
        case Window(width):
            return window_fits(day, budget, chosen, width.total_seconds())
        case Leak(constant):
            return leak_fits(day, budget, chosen, constant.total_seconds())
    whole = day.hours.length.total_seconds()
    return window_level(day, budget, chosen, 0.0, whole) <= budget.limit * (1 + 1e-9)


def alone_allowed(day: Day, performance: Performance) -> bool:
    return (
        day.on_grid(performance.starts)
        and day.hours.start <= performance.starts
        and performance.ends <= day.hours.end
        and not any(quiet.forbidden.meets(performance.span) for quiet in day.quiet)
    )


def possible(day: Day) -> list[Performance]:
    step = day.wishes.start_on / 60
    count = round(day.hours.length / step)
    moments = [day.hours.start + step * number for number in range(count + 1)]
    every = [Performance(moment, piece) for moment in moments for piece in day.pieces]
    return [performance for performance in every if alone_allowed(day, performance)]


def free_again(day: Day, performance: Performance) -> datetime:
    return performance.ends + day.rest_after(performance.piece)


def spaced_sets(day: Day) -> Iterator[Set]:
    every = possible(day)

    def after(chosen: Set, begin: int) -> Iterator[Set]:
        yield chosen
        for number in range(begin, len(every)):
            one = every[number]
            if not chosen or one.starts >= free_again(day, chosen[-1]):
                yield from after((*chosen, one), number + 1)

    return after((), 0)


def fulfils(day: Day, chosen: Set) -> bool:
    here = {(one.starts, name) for one in chosen for name in (one.piece.name, None)}
    most = day.wishes.most
    return all((fixed.at, fixed.piece) in here for fixed in day.wishes.fixed) and (
        most is None or len(chosen) <= most
    )


def is_valid(day: Day, chosen: Set) -> bool:
    return fulfils(day, chosen) and all(fits(day, budget, chosen) for budget in day.budgets)


def told(day: Day, wish: Wish, chosen: Set) -> float:
    starts = [performance.starts for performance in chosen]
    if wish is Wish.PERFORMANCES:
        return float(sum(day.wishes.worth(start) for start in starts))
    if wish is Wish.WAIT:
        return mean_wait(day.hours, starts).total_seconds() / 60
    if wish is Wish.ROUND_TIMES:
        return float(sum(day.wishes.rank(day.local(start).minute) for start in starts))
    counts = Counter(performance.piece.name for performance in chosen)
    played = [counts[piece.name] for piece in day.pieces]
    return float(max(played) - min(played))


def best_levels(day: Day) -> list[float] | None:
    valid = [chosen for chosen in spaced_sets(day) if is_valid(day, chosen)]
    if not valid:
        return None
    levels = []
    for wish in day.wishes.order:
        values = [told(day, wish, chosen) for chosen in valid]
        best = max(values) if wish is Wish.PERFORMANCES else min(values)
        valid = [one for one, value in zip(valid, values, strict=True) if abs(value - best) < 1e-6]
        levels.append(best)
    return levels


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_every_level_of_a_small_day_is_the_best_of_all_its_plans(
    chunk: int, small_day: Callable[[Random], Day], full: bool
) -> None:
    for seed in range(chunk, 4000 if full else 400, CHUNKS):
        day = small_day(Random(seed))
        found = plan(day, monotonic=monotonic)
        best = best_levels(day)
        if isinstance(found, Clash):
            assert best is None, f"day of seed {seed}"
        else:
            assert isinstance(found, Plan)
            assert best is not None, f"day of seed {seed}"
            values = [level.value for level in found.levels]
            assert values == pytest.approx(best, abs=1e-5), f"day of seed {seed}"
            assert all(level.proven for level in found.levels)


def test_the_listing_itself_finds_what_is_known_by_hand(demo_day: Day) -> None:
    """Two hours, a performance of ten minutes on each half hour, no limits: four of them."""
    hours = Span(demo_day.hours.start, demo_day.hours.start + timedelta(hours=2))
    wishes = Wishes(start_on=timedelta(minutes=30))
    piece = Piece("Frost Bells", timedelta(minutes=10))
    day = replace(demo_day, hours=hours, pieces=(piece,), quiet=(), budgets=(), wishes=wishes)
    assert best_levels(day) == [4, pytest.approx(15), 0, 0]
