"""The first levels: the smallest share as large as can be, then few stalls left with it."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import numpy as np

from showtime.fair.hall import HallLevel, HallWish
from showtime.planning.gauges import Ints
from showtime.planning.hall.clusters import clusters_around
from showtime.planning.hall.counts import Stalls
from showtime.planning.hall.part import Part, Terms
from showtime.planning.hall.search import Search
from showtime.planning.hall.terms import at_least, most_above, rising

HAIR = 1e-9
SIZES = (1, 2, 3, 4, 5, 6, 8)
"""Parts of the hall looked at around a stall that has little, one after the other."""
OFTEN = (1, 4)
"""So often with parts of each size; between, it is asked whether more can be had at all."""
PATIENCE = 5.0
"""Seconds that a cluster is given to prove what it cannot."""


def share_out(search: Search) -> list[HallLevel]:
    """Both levels settled; what they reached is what the search has to keep from now on."""
    smallest = _smallest(search)
    search.told(_words("fair share", smallest, "{:.0%}"))
    search.least = search.counts.least(smallest.value)
    search.above = _above(search, smallest.value)
    following = _next(search, smallest.value)
    open_ = np.flatnonzero(search.above > search.least)
    search.many = _many(search, search.chosen, open_)
    search.told(_words("stalls with more than that", following, "{:.0f}"))
    return [smallest, following]


def as_it_ended(search: Search, levels: list[HallLevel]) -> list[HallLevel]:
    """The same levels of the plan as it is now: what came later may have made them better."""
    smallest, following = levels
    share = float(search.shares().min(initial=1.0))
    if share > smallest.value + HAIR:
        smallest = HallLevel(smallest.name, share, max(smallest.bound, share))
        search.least = search.counts.least(share)
        search.above = _above(search, share)
        bound = _sure(search, share) + search.counts.most_above(
            search.least, search.above, lambda: 0.5
        )
        following = HallLevel(following.name, 0.0, float(bound))
    given = search.joint.counts(search.chosen)
    alone = search.alone.counts
    more = float(((alone > 0) & (given > share * alone + HAIR)).sum())
    return [smallest, HallLevel(following.name, more, max(following.bound, more))]


def _sure(search: Search, share: float) -> int:
    """How many stalls have a larger share than this as soon as they have it."""
    return int((search.least > share * search.alone.counts + HAIR).sum())


def _words(name: str, level: HallLevel, figure: str) -> str:
    value = figure.format(level.value)
    if level.proven:
        return f"{name} {value}, proven"
    return f"{name} {value}, not more than {figure.format(level.bound)}"


def _above(search: Search, share: float) -> Ints:
    """Per stall, the fewest performances that are a larger share than this one."""
    more = np.floor(share * search.alone.counts + HAIR) + 1
    more = np.maximum(more, search.counts.least(share))
    return np.asarray(np.minimum(more, search.alone.counts), dtype=np.int64)


def _smallest(search: Search) -> HallLevel:
    remaining = search.until(0.5 if search.small else 0.3)
    bound = search.counts.smallest_share(remaining)
    if search.small:
        bound = _halved(search, bound, remaining)
    for often in OFTEN:
        bound = min(bound, _climbed(search, bound, often, remaining))
        value = float(search.shares().min(initial=1.0))
        if value >= bound - HAIR:
            break
    return HallLevel(HallWish.SMALLEST_SHARE, value, max(bound, value))


def _halved(search: Search, bound: float, remaining: Callable[[], float]) -> float:
    """The whole hall asked for one share after another, each halving what is not known yet."""
    counts = search.alone.counts[search.alone.counts > 0].tolist()
    every = np.unique([given / most for most in counts for given in range(most + 1)])
    while remaining() > 0:
        value = float(search.shares().min(initial=1.0))
        between = every[(every > value + HAIR) & (every <= bound + HAIR)]
        if not len(between):
            return bound
        asked = search.counts.least(float(between[len(between) // 2]))
        wanted = dict(enumerate(asked.tolist()))
        found = search.whole(partial(_wanting, wanted=wanted), lambda: min(remaining(), PATIENCE))
        if found.chosen is not None:
            search.take(found.chosen)
        elif found.impossible:
            bound = float(every[every < between[len(between) // 2] - HAIR].max())
        else:
            return bound
    return bound


def _wanting(part: Part, wanted: dict[int, int]) -> Terms:
    """Any plan in which all have what is wanted."""
    return Terms(np.zeros(len(part.columns)), 1.0, at_least(part, wanted).packed())


def _climbed(search: Search, bound: float, often: int, remaining: Callable[[], float]) -> float:
    """Raises those who have least as long as that goes; what no smallest share can pass."""
    tries = np.zeros(len(search.joint.booths), dtype=np.int64)
    kept = 0.4 * remaining()
    while remaining() > kept:
        shares = search.shares()
        smallest = float(shares.min(initial=1.0))
        worst = np.flatnonzero(shares <= smallest + HAIR)
        if smallest >= bound - HAIR:
            return bound
        if tries[worst].max() >= often * len(SIZES):
            break
        _raised(search, worst, smallest, tries)
    return _not_above(search, bound, remaining)


def _raised(search: Search, worst: Ints, smallest: float, tries: Ints) -> None:
    """One round: those who have least are given more where that takes nobody below them."""
    order = sorted(worst.tolist(), key=lambda stall: (tries[stall], stall))
    improver = search.improver
    parts = improver.apart(improver.around(one, SIZES[tries[one] % len(SIZES)]) for one in order)
    above = _above(search, smallest)
    given = search.joint.counts(search.chosen)
    floors = dict(enumerate(np.where(given >= above, above, given).tolist()))
    tries[[one for one in order if any(one in part for part in parts)]] += 1
    weights = np.where(np.isin(search.joint.stall, worst), 100.0, 1.0)
    improver.tried(
        parts,
        lambda part: rising(part, worst.tolist(), floors, {}),
        lambda chosen: float(weights[chosen].sum()),
    )
    search.chosen = improver.chosen


def _not_above(search: Search, bound: float, remaining: Callable[[], float]) -> float:
    """The largest share for which no cluster is known that cannot have it, even by itself."""
    shares = search.shares()
    smallest = float(shares.min(initial=1.0))
    lacking = np.flatnonzero(shares < 1.0 - HAIR)
    order = lacking[np.argsort(shares[lacking], kind="stable")].tolist()
    clusters = clusters_around(search.joint, order)
    if search.small:
        clusters.append(tuple(range(len(search.joint.booths))))
    share = smallest
    while share < bound - HAIR:
        share = _next_share(search, share)
        wanted = dict(enumerate(search.counts.least(share).tolist()))
        if _some_cannot(search, clusters, wanted, remaining):
            return float(max(_largest_below(search, share), smallest))
    return bound


def _some_cannot(
    search: Search, clusters: list[Stalls], wanted: dict[int, int], remaining: Callable[[], float]
) -> bool:
    """Whether a cluster was found that cannot have what is wanted; no more are looked for then."""
    given = search.joint.counts(search.chosen)

    def cannot(cluster: Stalls) -> bool:
        if all(given[stall] >= wanted[stall] for stall in cluster):
            return False
        part = Part(search.joint, cluster, np.zeros(0, np.int64))
        rows = at_least(part, wanted).packed()
        terms = Terms(np.zeros(len(part.columns)), 1.0, rows)
        return part.best(terms, lambda: min(remaining(), PATIENCE)).impossible

    with ThreadPoolExecutor(search.workers) as pool:
        for first in range(0, len(clusters), search.workers):
            if remaining() <= 0:
                return False
            if any(pool.map(cannot, clusters[first : first + search.workers])):
                return True
    return False


def _largest_below(search: Search, share: float) -> float:
    """The largest share smaller than this one that any stall can have."""
    counts = search.alone.counts[search.alone.counts > 0]
    return float(((np.ceil(share * counts - HAIR) - 1) / counts).max(initial=0.0))


def _next_share(search: Search, share: float) -> float:
    """The next larger share that any stall can have."""
    counts = search.alone.counts[search.alone.counts > 0]
    return float(((np.floor(share * counts + HAIR) + 1) / counts).min(initial=1.0))


def _next(search: Search, share: float) -> HallLevel:
    """As many stalls as possible with a larger share than the smallest."""
    if share >= 1.0 - HAIR:
        return HallLevel(HallWish.NEXT_SHARES, 0.0, 0.0)
    remaining = search.until(0.5 if search.small else 0.15)
    open_ = np.flatnonzero(search.above > search.least)
    sure = _sure(search, share)
    bound = search.counts.most_above(search.least, search.above, remaining)
    if search.small:
        least = dict(enumerate(search.least.tolist()))
        above = dict(enumerate(search.above.tolist()))
        if _many(search, search.chosen, open_) < bound:
            found = search.whole(lambda part: most_above(part, least, above), remaining)
            if found.chosen is not None:
                search.take(found.chosen)
            if np.isfinite(found.least):
                bound = min(bound, int(np.floor(-found.least + 1e-6)))
    else:
        _lifted(search, share, bound, open_, remaining)
    return HallLevel(
        HallWish.NEXT_SHARES, float(sure + _many(search, search.chosen, open_)), float(sure + bound)
    )


def _many(search: Search, chosen: Ints, open_: Ints) -> int:
    return int((search.joint.counts(chosen)[open_] >= search.above[open_]).sum())


def _lifted(
    search: Search, share: float, bound: int, open_: Ints, remaining: Callable[[], float]
) -> None:
    tries = np.zeros(len(search.joint.booths), dtype=np.int64)
    while remaining() > 0 and _many(search, search.chosen, open_) < bound:
        shares = search.shares()
        worst = np.flatnonzero((shares <= share + HAIR) & (tries < OFTEN[0] * len(SIZES)))
        if not len(worst):
            return
        _raised(search, worst, share, tries)
