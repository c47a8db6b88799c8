"""The level of worth: as much of it as can be, while the shares stay as good as they are."""

from __future__ import annotations

from collections.abc import Callable
from math import floor

import numpy as np

from showtime.fair.hall import HallLevel, HallWish
from showtime.planning.gauges import Ints
from showtime.planning.hall.clusters import Clusters
from showtime.planning.hall.part import Part, Terms
from showtime.planning.hall.search import Search
from showtime.planning.hall.terms import worthiest, worthiest_above

SIZES = (6, 9, 12, 15)
"""Of the parts that are decided anew around a stall, one after the other."""


def most_worth(search: Search, unit: float) -> HallLevel:
    """`unit`: what one step of worth is."""
    remaining = search.until(0.8)
    bound = search.counts.most_worth(search.least, remaining)
    if search.small:
        kept = 0.4 * remaining()
        bound = min(bound, _decided(search, bound, lambda: remaining() - kept))
    if _value(search) < bound:
        bound = _improved(search, bound, remaining)
    value = _value(search)
    level = HallLevel(HallWish.WORTH, value * unit, max(value, bound) * unit)
    gap = "proven" if level.proven else f"within {level.gap:.1%} of the most there can be"
    search.told(f"worth {level.value:g}, {gap}")
    return level


def worth_as_it_ended(search: Search, level: HallLevel, unit: float) -> HallLevel:
    """The same level of the plan as it is now: what came later may have made it better."""
    value = _value(search) * unit
    return HallLevel(level.name, value, max(level.bound, value))


def _value(search: Search) -> int:
    return round(float(search.worth[search.chosen].sum()))


def _decided(search: Search, bound: int, remaining: Callable[[], float]) -> int:
    """The whole hall at once."""
    if _value(search) >= bound:
        return bound
    least = dict(enumerate(search.least.tolist()))
    above = dict(enumerate(search.above.tolist()))
    found = search.whole(
        lambda part: worthiest_above(part, search.worth, 1.0, least, above, search.many), remaining
    )
    if found.chosen is not None and search.worth[found.chosen].sum() > _value(search):
        search.take(found.chosen)
    return floor(-found.least + 1e-6) if np.isfinite(found.least) else bound


def _improved(search: Search, bound: int, remaining: Callable[[], float]) -> int:
    """Part after part decided anew; then clusters looked at that stand in the way of more."""
    clusters = Clusters(search)
    tries = np.zeros(len(search.joint.booths), dtype=np.int64)
    _rounds(
        search,
        clusters,
        tries,
        bound,
        search.until(0.5 * remaining() / max(search.remaining(), 1e-9)),
    )
    bound = clusters.bound(bound, remaining)
    _rounds(search, clusters, tries, bound, remaining)
    return bound


def _rounds(
    search: Search,
    clusters: Clusters,
    tries: Ints,
    bound: int,
    remaining: Callable[[], float],
) -> None:
    """Decides anew around stalls that lack something, those tried least first, as time allows.

    Also what makes nothing better is taken over: from elsewhere another way may lead on.
    """
    improver = search.improver
    while remaining() > 0 and _value(search) < bound:
        lacking = clusters.lacking()
        if not lacking or min(tries[lacking]) >= 4 * len(SIZES):
            return
        lacking.sort(key=lambda stall: (tries[stall], improver.random.random()))
        parts = improver.apart(
            improver.around(one, SIZES[tries[one] % len(SIZES)]) for one in lacking
        )
        tries[[one for one in lacking if any(one in part for part in parts)]] += 1
        for part in _retried(search, parts):
            tries[list(part)] = np.maximum(tries[list(part)] - 1, 0)


def _retried(search: Search, parts: list[frozenset[int]]) -> list[frozenset[int]]:
    """The parts that have more now."""
    told = search.improver.tried(
        parts,
        lambda part: _as_fair(search, part),
        lambda chosen: float(search.worth[chosen].sum()),
    )
    search.chosen = search.improver.chosen
    return [part for part, grew, _ in told if grew]


def _as_fair(search: Search, part: Part) -> Terms:
    """The most worth of a part in which as many have more than the smallest share as now."""
    given = search.joint.counts(search.chosen)
    above = sum(
        int(given[stall] >= search.above[stall] > search.least[stall]) for stall in part.stalls
    )
    least = dict(enumerate(search.least.tolist()))
    if not above:
        most = dict(enumerate(search.alone.worth.tolist()))
        return worthiest(part, search.worth, 1.0, least, most)
    more = dict(enumerate(search.above.tolist()))
    return worthiest_above(part, search.worth, 1.0, least, more, above)
