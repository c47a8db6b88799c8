"""How closely performances can follow each other before a level that leaks has to fall.

A relaxation spreads performances evenly, so that the level stands just under its limit all the
time; a real plan goes up and down. The least time in which so many performances can start, from a
cold beginning, makes rows of whole numbers that see the difference.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, count
from math import ceil, exp, log

import numpy as np

from showtime.planning.gauges import Floats, Ints, LeakGauge
from showtime.planning.moments import SECOND
from showtime.planning.rows import Rows
from showtime.planning.task import Task

# So many performances are looked at together, and all of the day.
FEW = 3  # of more pieces than this not every set is looked at, but each one and all
COUNTS = frozenset({1, 2, 3, 4, 5, 6, 8, 10, 12})


@dataclass(frozen=True)
class _Beat:
    """A piece as the level feels it: it may start when the level is at `most` or lower.

    From there to when the stall is free, `engages` microseconds, a level v becomes
    v * `keeps` + `adds`.
    """

    most: float
    engages: int
    keeps: float
    adds: float


def crowding(task: Task, gauge: LeakGauge, room: float, at_end: Floats, rows: Rows) -> None:
    """No more than n of some pieces start in less time than n + 1 of them take at least.

    `room` is the most that performances may add to the level at any time, `at_end` what of each
    piece's own is left of it at its end.
    """
    marks = np.unique(task.choices.starts)
    step = int(np.gcd.reduce(np.diff(marks))) or 1
    beats = _beats(task, gauge, room, at_end)
    sizes = range(1, len(beats) + 1) if len(beats) <= FEW else (1, len(beats))
    for size in sizes:
        for numbers in combinations(beats, size):
            those = np.flatnonzero(np.isin(task.choices.piece, numbers))
            some = [beats[number] for number in numbers]
            nearest = -(-min(beat.engages for beat in some) // step) * step
            for number, least in zip(count(1), _least_times(some, gauge.time_constant, step)):
                over = least > marks[-1] - marks[0]
                if least > number * nearest and (over or number in COUNTS):
                    _at_most(task, those, marks, least, number, rows)
                if over:
                    break


def _beats(task: Task, gauge: LeakGauge, room: float, at_end: Floats) -> dict[int, _Beat]:
    """The pieces that there are choices of, by number."""
    found = {}
    for number in np.unique(task.choices.piece).tolist():
        lasts = task.pieces[number].lasts.total_seconds()
        engages = int(task.engages[number])
        kept = exp(-lasts / gauge.time_constant)
        rests = exp(-(engages / SECOND - lasts) / gauge.time_constant)
        most = min(room - gauge.rates.at_start[number], (room - at_end[number]) / kept)
        found[number] = _Beat(float(most), engages, kept * rests, float(at_end[number]) * rests)
    return found


def _least_times(beats: Sequence[_Beat], constant: float, step: int) -> Iterator[int]:
    """From the first start to the second at least, to the third, and so on; all are on a grid.

    For a given order of pieces, as soon as possible is best also for what follows: what was
    spent earlier has leaked away further. So only the order is searched.
    """
    labels = [(beat.engages, beat.adds) for beat in beats if beat.most >= 0]
    while labels:
        following = []
        least = None
        for free, level in labels:
            for beat in beats:
                if beat.most < 0 or (beat.most == 0 and level > 0):
                    continue
                wait = constant * log(level / beat.most) * SECOND if level > beat.most else 0.0
                at = ceil((free + wait) / step - 1e-6) * step
                then = level * exp(-max(0, at - free) / SECOND / constant)
                least = at if least is None else min(least, at)
                following.append((at + beat.engages, then * beat.keeps + beat.adds))
        if least is None:
            return
        yield least
        labels = _undominated(following, constant)


def _undominated(labels: Sequence[tuple[int, float]], constant: float) -> list[tuple[int, float]]:
    """Without those that another is as early as and, by the time they are free, as low."""
    kept: list[tuple[int, float]] = []
    for free, level in sorted(labels):
        if all(low * exp(-(free - early) / SECOND / constant) > level for early, low in kept):
            kept.append((free, level))
    return kept


def _at_most(task: Task, those: Ints, marks: Ints, width: int, most: int, rows: Rows) -> None:
    starts = task.choices.starts[those]
    begins, ends = np.searchsorted(starts, marks), np.searchsorted(starts, marks + width)
    new = np.append(True, ends[1:] > ends[:-1]) & (ends - begins > most)
    for begin, end in zip(begins[new], ends[new], strict=True):
        rows.add(those[begin:end], upper=most)
