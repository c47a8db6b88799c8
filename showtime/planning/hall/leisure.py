"""The last levels of the hall: short waits, then starts at round times in waits no longer."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np

from showtime.fair.hall import HallLevel, HallWish
from showtime.fair.wishes import Wish
from showtime.planning.hall.least import Ask, decided, lowest
from showtime.planning.hall.rearranging import AROUND, Costs, Remaining, rearranged
from showtime.planning.hall.search import Search
from showtime.planning.moments import MINUTE
from showtime.planning.values import value

SPENT = 0.9
"""Of the time that is left; the rest is for playing the pieces evenly."""


def leisurely(search: Search) -> list[HallLevel]:
    """Both levels: first pieces of the plan decided anew, then bounds, then what is left open."""
    costs = Costs(search)
    remaining = search.until(SPENT)
    least = _settled(search, costs, None, _part_of(remaining, 0.6))
    held = costs.of(search.chosen)[0]
    waits = _sum(search, Wish.WAIT)
    bound = min(costs.measure.wait(least), waits) if least < held else waits
    search.told(f"waits of {waits:.1f} min in sum, not less than {bound:.1f}")
    roundest = _settled(search, costs, held, remaining)
    ranks = _sum(search, Wish.ROUND_TIMES)
    roundest = min(max(roundest, _fewest_ranks(search)), ranks)
    search.told(f"round times {ranks:.0f}, not less than {roundest:.0f}")
    waits = _sum(search, Wish.WAIT)  # rounder times may have come with shorter waits
    return [
        HallLevel(HallWish.WAIT, waits, min(bound, waits)),
        HallLevel(HallWish.ROUND_TIMES, ranks, roundest),
    ]


def _part_of(remaining: Remaining, part: float) -> Remaining:
    kept = remaining() * (1 - part)
    return lambda: remaining() - kept


def _sum(search: Search, wish: Wish) -> float:
    given = search.joint.performances(search.chosen)
    days = search.joint.hall.days
    return float(np.sum([value(day, wish, mine) for day, mine in zip(days, given, strict=True)]))


def _settled(search: Search, costs: Costs, held: float | None, remaining: Remaining) -> float:
    """The plan made as good as can be on one level; what no plan costs less than.

    `held`: what the waits may cost; then it is the round times' turn. None: that of the waits.
    """
    hair = 0.01 * costs.measure.step or 1e-6 * max(1.0, held or 0.0)
    most = None if held is None else held + hair
    rearranged(search, costs, most is not None, _part_of(remaining, 0.25 if search.small else 0.7))
    if not search.small:
        return _clustered(search, costs, most, remaining)
    ask = Ask(search, costs, range(len(search.joint.booths)), most)
    low = lowest(ask, _part_of(remaining, 0.5))
    if low is None:
        return _clustered(search, costs, most, remaining)
    reached = costs.of(search.chosen)[0 if most is None else 1]
    bound = ask.rounded(low.low)
    if bound >= reached - 1e-6:
        return reached
    found = decided(ask, low, reached, remaining)
    if found.chosen is not None and costs.of(found.chosen) < costs.of(search.chosen):
        search.take(found.chosen)
    if found.impossible:
        return reached
    return min(max(bound, ask.rounded(found.least)), reached)


def _clustered(search: Search, costs: Costs, most: float | None, remaining: Remaining) -> float:
    """Clusters of stalls that are near to each other, every stall in one: their bounds in sum.

    None of the waits that all have in sum is one cluster's own, so for round times each cluster
    is bounded without regard to them.
    """
    left, clusters = set(range(len(search.joint.booths))), list[list[int]]()
    while left:
        near = sorted(left & search.improver.around(min(left), AROUND) | {min(left)})
        clusters.append(near)
        left -= set(near)

    def least(cluster: list[int]) -> float:
        if most is not None:
            return 0.0
        low = lowest(Ask(search, costs, cluster), remaining)
        even = sum(_even(search, costs, stall) for stall in cluster)
        return even if low is None else max(even, Ask(search, costs, cluster).rounded(low.low))

    with ThreadPoolExecutor(search.workers) as pool:
        return sum(pool.map(least, clusters))


def _even(search: Search, costs: Costs, stall: int) -> float:
    """What a stall's waits cost if it has all that it could have, evenly spread."""
    gauge, closes = costs.measure, search.joint.booths[stall].task.closes
    wait = closes / MINUTE / (2 * (int(search.alone.counts[stall]) + 1))
    own = float(gauge.unit[stall]) / 2 / MINUTE if gauge.step else 0.0
    return max(0.0, (wait - own) / gauge.minutes)


def _fewest_ranks(search: Search) -> float:
    """The smallest sum of ranks that so many starts can have, were there no other rules."""
    joint = search.joint
    ranks: list[float] = []
    costs = Costs(search).ranks
    for booth in joint.booths:
        _, first = np.unique(joint.starts[booth.choices], return_index=True)
        there = sorted(costs[booth.choices[first]].tolist())
        ranks += there[: int(search.alone.counts[booth.number])]
    worthiest = float(search.worth.max(initial=1.0))
    fewest = int(np.ceil(search.worth[search.chosen].sum() / worthiest - 1e-9))
    return float(sum(sorted(ranks)[:fewest]))
