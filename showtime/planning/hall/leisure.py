"""The last levels, stall by stall beside what all others do: short waits, starts at round times."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from showtime.fair.hall import HallLevel, HallWish
from showtime.fair.wishes import Wish
from showtime.planning.gauges import Floats, Ints
from showtime.planning.goals import Aim, aim
from showtime.planning.hall.booths import Booth
from showtime.planning.hall.part import Part
from showtime.planning.hall.search import Search
from showtime.planning.model import Model
from showtime.planning.moments import MINUTE, as_instant
from showtime.planning.programme import Columns, Goal
from showtime.planning.relaxing import relaxed
from showtime.planning.search import settled
from showtime.planning.task import Task
from showtime.planning.values import value

PATIENCE = 3.0
"""Seconds that one stall is given."""


def leisurely(search: Search) -> list[HallLevel]:
    """Both levels: each stall's own waits and round times, as far as the others leave room.

    Not all of the time is spent: what is left is for playing the pieces evenly.
    """
    bound = _least_wait(search, search.until(0.4))
    _rearranged(search, search.until(0.75))
    waits, ranks = _sum(search, Wish.WAIT), _sum(search, Wish.ROUND_TIMES)
    search.told(f"waits of {waits:.1f} min in sum, not less than {min(bound, waits):.1f}")
    return [
        HallLevel(HallWish.WAIT, waits, min(bound, waits)),
        HallLevel(HallWish.ROUND_TIMES, ranks, min(_least_ranks(search), ranks)),
    ]


def _sum(search: Search, wish: Wish) -> float:
    given = search.joint.performances(search.chosen)
    days = search.joint.hall.days
    return float(np.sum([value(day, wish, mine) for day, mine in zip(days, given, strict=True)]))


def _rearranged(search: Search, remaining: Callable[[], float]) -> None:
    """Round after round until no stall gains: those that do not touch at the same time."""
    stalls = len(search.joint.booths)
    due = set(range(stalls))
    while due and remaining() > 0:
        order = sorted(due)
        parts = search.improver.apart(frozenset([stall]) for stall in order)
        wave = [stall for part in parts for stall in part]
        due -= set(wave)
        with ThreadPoolExecutor(len(wave)) as pool:
            every = list(pool.map(lambda stall: _rearrange(search, stall, remaining), wave))
        for stall, after in zip(wave, every, strict=True):
            if after is not None and _taken(search, stall, after, len(wave) > 1):
                due |= search.joint.near[stall]


def _taken(search: Search, stall: int, after: Ints, check: bool) -> bool:
    joint = search.joint
    rest = search.chosen[joint.stall[search.chosen] != stall]
    whole = np.union1d(rest, after)
    if check and (joint.crowded(whole, [stall]) or joint.too_loud(whole)):
        return False
    search.take(whole)
    return True


def _rearrange(search: Search, stall: int, remaining: Callable[[], float]) -> Ints | None:
    """That stall's choices with shorter waits, or rounder times; None: it has the best."""
    joint, booth = search.joint, search.joint.booths[stall]
    is_mine = joint.stall[search.chosen] == stall
    part = Part(joint, [stall], search.chosen[~is_mine])
    open_ = np.union1d(part.columns, search.chosen[is_mine])
    task = _over(booth, open_ - booth.first)
    known = np.searchsorted(open_, search.chosen[is_mine])
    model = Model(task)
    ends = remaining() - PATIENCE
    aims = [_kept(joint.worth[open_], known, aim(Wish.WAIT)), aim(Wish.ROUND_TIMES)]
    best, _ = settled(model, aims, lambda: min(remaining(), remaining() - ends), known)
    after = open_[best]
    if _pleasing(booth, after) >= _pleasing(booth, search.chosen[is_mine]):
        return None
    # What is heard elsewhere is no rule of this stall's own: asked only now.
    if search.joint.hall.noise and joint.too_loud(np.union1d(search.chosen[~is_mine], after)):
        return None
    return after


def _over(booth: Booth, choices: Ints) -> Task:
    """The stall's task with only these choices."""
    needed = [booth.task.choices.taken(those).pairs() for those in booth.task.needed]
    return booth.task.with_choices(booth.task.choices.taken(choices)).needing(needed)


def _kept(worth: Floats, known: Ints, wanted: Aim) -> Aim:
    """The same aim, while there are as many performances, worth as much, as are known."""

    def goal(columns: Columns) -> Goal:
        every = np.arange(len(worth))
        columns.rows.add(every, 1.0, lower=float(len(known)))
        columns.rows.add(every, worth, lower=float(worth[known].sum()) - 1e-6)
        return wanted(columns)

    return goal


def _pleasing(booth: Booth, choices: Ints) -> tuple[float, float]:
    given = booth.task.performances(choices - booth.first)
    day = booth.task.day
    return round(value(day, Wish.WAIT, given), 9), value(day, Wish.ROUND_TIMES, given)


def _least_wait(search: Search, remaining: Callable[[], float]) -> float:
    """No plan's waits are less in sum than each stall's alone, as its relaxation tells."""
    joint = search.joint
    with ThreadPoolExecutor(search.workers) as pool:
        return sum(pool.map(lambda booth: _alone(search, booth, remaining), joint.booths))


def _alone(search: Search, booth: Booth, remaining: Callable[[], float]) -> float:
    """In minutes; the most performances there can be, evenly spread, where there is no time."""
    most = int(search.alone.counts[booth.number])
    length = booth.task.closes / MINUTE
    even = length / (2 * (most + 1))
    model = Model(_over(booth, booth.allowed))
    known = np.searchsorted(booth.allowed, search.joint.of(search.chosen, booth.number))
    goal = aim(Wish.WAIT)(model.columns)
    low = relaxed(model, goal, known, remaining)
    if low is None or not np.isfinite(low.low) or not goal.step:
        return even
    flow = model.columns.flow
    if flow is None:
        return even
    unit = int(np.gcd.reduce(np.diff(flow.along))) or 1
    units = booth.task.closes // unit
    least = np.ceil(low.low - 1e-3)
    return max(even, float((2 * least + units) / (2 * units) * unit / MINUTE))


def _least_ranks(search: Search) -> float:
    """The smallest sum of ranks that so many starts can have, were there no other rules."""
    joint = search.joint
    ranks: list[int] = []
    for booth in joint.booths:
        starts = np.unique(booth.task.choices.starts[booth.allowed]).tolist()
        ranks += _ranks(booth, starts)[: int(search.alone.counts[booth.number])]
    worthiest = float(search.worth.max(initial=1.0))
    fewest = int(np.ceil(search.worth[search.chosen].sum() / worthiest - 1e-9))
    return float(sum(sorted(ranks)[:fewest]))


def _ranks(booth: Booth, starts: Sequence[int]) -> list[int]:
    day = booth.task.day
    return sorted(day.wishes.rank(day.local(as_instant(day, start)).minute) for start in starts)
