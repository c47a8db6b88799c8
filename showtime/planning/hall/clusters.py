"""What stalls that touch each other can have together at most, proven cluster by cluster."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import floor

import numpy as np

from showtime.planning.hall.counts import Stalls
from showtime.planning.hall.joint import Joint
from showtime.planning.hall.part import Part
from showtime.planning.hall.search import Search
from showtime.planning.hall.terms import worthiest

PATIENCE = 10.0
"""Seconds that a cluster is given."""
SPARSE = 4.5
"""With more neighbours than this on average, there are too many rings to look at."""
MOST = 5
"""So many stalls of a large group are looked at together."""


@dataclass
class Clusters:
    """Clusters around stalls that have less than they could have alone."""

    search: Search

    def lacking(self) -> list[int]:
        """Stalls that have less worth than alone."""
        search = self.search
        joint = search.joint
        given = np.bincount(
            joint.stall[search.chosen], search.worth[search.chosen], len(joint.booths)
        )
        return np.flatnonzero(given < search.alone.worth - 0.5).tolist()

    def bound(self, bound: int, remaining: Callable[[], float]) -> int:
        """No plan is worth more, as far as clusters tell; those first that lack most."""
        search = self.search
        clusters = clusters_around(search.joint, self.lacking())
        batch = max(4 * search.workers, len(clusters) // 6)
        for first in range(0, len(clusters), batch):
            if remaining() <= 0:
                return bound
            self._look(clusters[first : first + batch], remaining)
            bound = min(bound, search.counts.most_worth(search.least, remaining))
            if search.worth[search.chosen].sum() >= bound:
                return bound
        return bound

    def _look(self, clusters: list[Stalls], remaining: Callable[[], float]) -> None:
        counts = self.search.counts
        with ThreadPoolExecutor(self.search.workers) as pool:
            every = pool.map(lambda stalls: self._most(stalls, remaining), clusters)
            for stalls, most in zip(clusters, every, strict=True):
                if most < int(self.search.alone.worth[list(stalls)].sum()):
                    counts.valued[stalls] = most

    def _most(self, stalls: Stalls, remaining: Callable[[], float]) -> int:
        search = self.search
        alone = int(search.alone.worth[list(stalls)].sum())
        given = np.isin(search.joint.stall[search.chosen], stalls)
        if float(search.worth[search.chosen[given]].sum()) >= alone:
            return alone
        part = Part(search.joint, stalls, np.zeros(0, np.int64))
        ends = remaining() - PATIENCE
        least = dict(enumerate(search.least.tolist()))
        most = dict(enumerate(search.alone.worth.tolist()))
        terms = worthiest(part, search.worth, 1.0, least, most)
        known = search.chosen[given]
        found = part.best(terms, lambda: min(remaining(), remaining() - ends), known)
        return min(alone, floor(-found.least + 1e-6)) if np.isfinite(found.least) else alone


def clusters_around(joint: Joint, lacking: Sequence[int]) -> list[Stalls]:
    """Clusters with stalls that lack something: those with most of them first.

    In a grid rings of four stalls; where stalls have many neighbours, the groups that are bound.
    """
    near = joint.near
    crowded = sum(map(len, near)) > SPARSE * len(near)
    found = _groups(joint, lacking) if crowded else _rings(near, lacking)
    rank = {stall: at for at, stall in enumerate(lacking)}

    def first(cluster: Stalls) -> tuple[int, int, Stalls]:
        there = [rank[stall] for stall in cluster if stall in rank]
        return -len(there), min(there, default=len(rank)), cluster

    return sorted(found, key=first)


def _groups(joint: Joint, lacking: Sequence[int]) -> set[Stalls]:
    """The groups they are in, of large ones as many members as are still quickly decided."""
    numbers = {number for stall in lacking for number in joint.groups_of[stall]}
    members = [sorted(joint.groups[number].stalls) for number in sorted(numbers)]
    return {
        tuple(those[first : first + MOST])
        for those in members
        for first in range(0, len(those), MOST)
        if len(those[first:]) > 1
    }


def _rings(near: Sequence[frozenset[int]], lacking: Sequence[int]) -> set[Stalls]:
    """Two stalls that are near, and two others near to both. Where there is no ring, pairs."""
    found = set[Stalls]()
    for one in lacking:
        for two in near[one]:
            around = {
                tuple(sorted((one, two, three, four)))
                for three in near[two] - {one}
                for four in near[three] & near[one] - {two}
            }
            found |= around or {(min(one, two), max(one, two))}
    return found
