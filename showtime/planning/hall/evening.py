"""After all levels: each stall plays its pieces as evenly as the rules allow, at the same starts.

The levels tell starts apart and not pieces, so they are reached with the pieces that stand least in
anybody's way. What is longer or louder gets its turn here, where there is room for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from showtime.fair import Performance
from showtime.fair.hall import HallDay
from showtime.fair.wishes import Wish
from showtime.planning.hall.improving import Improver
from showtime.planning.hall.joint import joint
from showtime.planning.hall.part import Part, Terms
from showtime.planning.rows import Rows

Given = tuple[tuple[Performance, ...], ...]


def evened(
    hall: HallDay,
    performances: Sequence[Sequence[Performance]],
    remaining: Callable[[], float],
    workers: int,
) -> Given:
    """The same starts with pieces played more evenly, by those stalls that wish for that."""
    full = joint(hall, every_piece=True)
    improver = Improver(full, full.numbers(performances), remaining, workers)
    due = [
        booth.number
        for booth in full.booths
        if len(booth.task.day.pieces) > 1 and Wish.EVEN_PIECES in booth.task.day.wishes.order
    ]
    while due and remaining() > 0:
        parts = improver.apart(frozenset([stall]) for stall in due)
        improver.tried(parts, lambda part: _evenly(part, improver), lambda chosen: 0.0)
        done = frozenset().union(*parts)
        due = [stall for stall in due if stall not in done]
    kept = full.keeps_every_rule(improver.chosen)
    return full.performances(improver.chosen) if kept else tuple(map(tuple, performances))


def _evenly(part: Part, improver: Improver) -> Terms:
    """At each of its starts one piece; the squares of how often each is played least in sum."""
    full, (stall,) = part.joint, part.stalls
    mine = improver.chosen[full.stall[improver.chosen] == stall]
    starts = np.sort(full.starts[mine])
    part.keep_only(np.isin(full.starts[part.columns], starts))
    rows, count = Rows(), len(part.columns)
    for start in starts.tolist():
        there = np.flatnonzero(full.starts[part.columns] == start)
        rows.add(there, 1.0, lower=1.0, upper=1.0)
    booth = full.booths[stall]
    piece = booth.task.choices.piece[part.columns - booth.first]
    kinds, each = np.unique(piece).tolist(), len(starts)
    for number, kind in enumerate(kinds):
        times = np.arange(count + number * each, count + (number + 1) * each)
        those = np.flatnonzero(piece == kind)
        factors = np.concatenate([np.ones(len(those)), -np.ones(each)])
        rows.add(np.concatenate([those, times]), factors, lower=0.0, upper=0.0)
    steps = np.tile(2.0 * np.arange(each) + 1.0, len(kinds))
    return Terms(np.append(np.zeros(count), steps), 1.0, rows.packed(), parts=len(steps))
