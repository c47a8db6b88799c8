"""From one list of performances to another: what was moved, and what was left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from showtime.fair import Performance


@dataclass(frozen=True, slots=True)
class Move:
    """A planned performance of `piece` that would have to start at `to`; None: be left out."""

    piece: str
    planned: datetime
    to: datetime | None


def moves(before: Sequence[Performance], after: Sequence[Performance]) -> tuple[Move, ...]:
    """What turns `before` into `after`, in order of time; what only `after` has beside is new.

    A performance can only have moved to one of its own piece, and the moves are the shortest.
    """
    found = []
    for piece in dict.fromkeys(performance.piece for performance in before):
        old = {each.starts for each in before if each.piece == piece}
        new = {each.starts for each in after if each.piece == piece}
        found += [Move(piece.name, *pair) for pair in _paired(sorted(old - new), sorted(new - old))]
    return tuple(sorted(found, key=lambda move: (move.planned, move.piece)))


def _paired(
    old: Sequence[datetime], new: Sequence[datetime]
) -> list[tuple[datetime, datetime | None]]:
    """Each of `old` and where it went: as many as can have moved, none crossing, not far in sum."""

    @cache
    def best(left: int, right: int) -> tuple[int, timedelta, tuple[int | None, ...]]:
        """For old[left:] and new[right:]: how many are left out, the way of the rest, and where."""
        if left == len(old):
            return 0, timedelta(0), ()
        lost, way, where = best(left + 1, right)
        ways = [(lost + 1, way, (None, *where))]
        for to in range(right, len(new)):
            lost, way, where = best(left + 1, to + 1)
            ways.append((lost, way + abs(new[to] - old[left]), (to, *where)))
        return min(ways, key=lambda one: one[:2])

    return [
        (planned, None if to is None else new[to])
        for planned, to in zip(old, best(0, 0)[2], strict=True)
    ]
