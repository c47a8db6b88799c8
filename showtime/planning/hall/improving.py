"""A joint plan made better piece by piece: some stalls near to each other are decided anew.

All others stay as they are, so each such part is small and solved to its end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from random import Random

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.hall.joint import Joint
from showtime.planning.hall.part import Found, Part, Terms, heard_of

Asked = Callable[[Part], Terms]
Value = Callable[[Ints], float]

PATIENCE = 6.0
"""Seconds that a part is given; then what it has found counts."""


@dataclass
class Improver:
    """Decides parts of a plan anew, several at once where they do not touch."""

    joint: Joint
    chosen: Ints
    remaining: Callable[[], float]
    workers: int = 1

    def __post_init__(self) -> None:
        self._heard: tuple[Ints, list[Floats]] | None = None
        self.random = Random(len(self.joint) * 1000 + len(self.joint.booths))

    def around(self, stall: int, size: int) -> frozenset[int]:
        """So many stalls near to each other, `stall` among them."""
        found, near = [stall], self.joint.near
        everyone = range(len(self.joint.booths))
        while len(found) < min(size, len(self.joint.booths)):
            edge = sorted(set().union(*(near[one] for one in found)) - set(found))
            found.append(self.random.choice(edge or [o for o in everyone if o not in found]))
        return frozenset(found)

    def apart(self, parts: Iterable[frozenset[int]]) -> list[frozenset[int]]:
        """As many of these parts, at most one a worker, that do not touch."""
        found: list[frozenset[int]] = []
        for part in parts:
            around = part.union(*(self.joint.near[stall] for stall in part))
            if all(around.isdisjoint(other) for other in found):
                found.append(part)
            if len(found) == self.workers:
                break
        return found

    def tried(
        self, parts: Sequence[frozenset[int]], asked: Asked, value: Value
    ) -> list[tuple[frozenset[int], bool, Found]]:
        """Each part decided anew; what makes the `value` of the plan no smaller is taken over.

        Tells of each part whether the value grew.
        """
        self._listen()
        with ThreadPoolExecutor(max(1, len(parts))) as pool:
            every = list(pool.map(lambda stalls: self._decided(stalls, asked), parts))
        told = []
        for stalls, found in zip(parts, every, strict=True):
            grew = False
            if found.chosen is not None:
                rest = self.chosen[~np.isin(self.joint.stall[self.chosen], list(stalls))]
                after = np.union1d(rest, found.chosen)
                gained = value(after) - value(self.chosen)
                grew = gained > 0
                if gained >= 0 and (len(parts) == 1 or self._fit(after, stalls)):
                    self.chosen = after
                else:
                    grew = False
            told.append((stalls, grew, found))
        return told

    def _fit(self, chosen: Ints, stalls: frozenset[int]) -> bool:
        return not self.joint.crowded(chosen, stalls) and not self.joint.too_loud(chosen)

    def _decided(self, stalls: frozenset[int], asked: Asked) -> Found:
        mine = np.isin(self.joint.stall[self.chosen], list(stalls))
        known = self.chosen[mine]
        heard = self._heard_beside(known)
        part = Part(self.joint, stalls, self.chosen[~mine], heard=heard, also=known)
        ends = self.remaining() - PATIENCE

        def remaining() -> float:
            return min(self.remaining(), self.remaining() - ends)

        terms = asked(part)
        return part.best(terms, remaining, known)

    def _listen(self) -> None:
        """What all are heard with now; reckoned anew only for what has changed."""
        joint = self.joint
        if self._heard is None:
            heard = [heard_of(joint, din, self.chosen) for din in joint.dins]
        else:
            before, heard = self._heard
            gone, come = np.setdiff1d(before, self.chosen), np.setdiff1d(self.chosen, before)
            if len(gone) or len(come):
                heard = [
                    level - heard_of(joint, din, gone) + heard_of(joint, din, come)
                    for level, din in zip(heard, joint.dins, strict=True)
                ]
        self._heard = self.chosen, heard

    def _heard_beside(self, mine: Ints) -> list[Floats]:
        """What all others are heard with."""
        heard = self._heard[1] if self._heard else []
        return [
            level - heard_of(self.joint, din, mine)
            for level, din in zip(heard, self.joint.dins, strict=True)
        ]
