"""The wishes as costs over the choices: lower is better, each in its own exact units."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from showtime.fair.wishes import Wish
from showtime.planning.gauges import Floats, Ints
from showtime.planning.highs import Rows
from showtime.planning.moments import as_instant
from showtime.planning.task import Task

# Costs are scaled to whole numbers where this is exact, so that "better" is better by one.
WHOLE_UP_TO = 1e6


@dataclass(frozen=True)
class Goal:
    """A cost over the columns; two plans differ by `step` or not at all (0: not known)."""

    cost: Floats
    step: float


class Columns:
    """The columns of the programme: first the choices, then what single goals need besides."""

    def __init__(self, task: Task) -> None:
        self.task = task
        self.rows = Rows()
        self.lower = np.zeros(len(task.choices))
        self.upper = np.ones(len(task.choices))
        self.whole = np.ones(len(task.choices), dtype=np.int64)

    def __len__(self) -> int:
        return len(self.lower)

    def more(self, count: int, *, upper: float, whole: bool = False) -> Ints:
        """`count` new columns from 0 to `upper`; their numbers."""
        begin = len(self)
        self.lower = np.concatenate([self.lower, np.zeros(count)])
        self.upper = np.concatenate([self.upper, np.full(count, upper)])
        self.whole = np.concatenate([self.whole, np.full(count, int(whole))])
        return np.arange(begin, begin + count)

    def goal(self, columns: Ints, cost: Floats) -> Goal:
        full = np.zeros(len(self))
        whole, step = _whole(cost)
        full[columns] = whole
        return Goal(full, step)


def _whole(cost: Floats) -> tuple[Floats, float]:
    """The costs times a whole number that makes them whole; step 0 when none is small enough."""
    values = np.unique(cost)
    scale = 1
    for value in values:
        exact = Fraction(str(float(value)))
        scale = int(np.lcm(scale, exact.denominator)) if exact.denominator < WHOLE_UP_TO else 0
        if not 0 < scale < WHOLE_UP_TO or abs(value) * scale > 1e9:
            return cost, 0.0
    scaled = np.rint(cost * scale)
    common = np.gcd.reduce(scaled.astype(np.int64)) or 1
    return scaled / common, 1.0


def goal(wish: Wish, columns: Columns) -> Goal:
    """The wish as a cost; it may add columns and rows of its own."""
    match wish:
        case Wish.PERFORMANCES:
            return _performances(columns)
        case Wish.WAIT:
            return _wait(columns)
        case Wish.ROUND_TIMES:
            return _round_times(columns)
        case Wish.EVEN_PIECES:
            return _even_pieces(columns)


def _performances(columns: Columns) -> Goal:
    task = columns.task
    worth = [task.day.wishes.worth(as_instant(task.day, int(start))) for start in task.choices.starts]
    return columns.goal(np.arange(len(task.choices)), -np.array(worth, dtype=np.float64))


def _round_times(columns: Columns) -> Goal:
    day = columns.task.day
    ranks = [
        day.wishes.rank(day.local(as_instant(day, int(start))).minute)
        for start in columns.task.choices.starts
    ]
    return columns.goal(np.arange(len(ranks)), np.array(ranks, dtype=np.float64))


def _even_pieces(columns: Columns) -> Goal:
    task = columns.task
    names = [piece.name for piece in task.day.pieces]
    most, least = columns.more(2, upper=len(task.choices) + len(task.facts), whole=True)
    for name in names:
        numbers = [number for number, piece in enumerate(task.pieces) if piece.name == name]
        those = np.flatnonzero(np.isin(task.choices.piece, numbers))
        already = int(np.isin(task.facts.piece, numbers).sum())
        ones = np.ones(len(those))
        columns.rows.add(
            np.append(those, most), np.append(ones, -1.0), upper=-already
        )
        columns.rows.add(
            np.append(those, least), np.append(ones, -1.0), lower=-already
        )
    return columns.goal(np.array([most, least]), np.array([1.0, -1.0]))


def _wait(columns: Columns) -> Goal:
    """A unit flow along the day, opening -> starts -> closing, whose arcs are the waits.

    The flow through a start is the sum of its choices, so a plan's flow is its one path and the
    cost, a sum over arcs, is linear. An arc of length g costs g (g - 1) / 2: as the lengths of a
    path always add up to the open hours, this orders plans as the sum of g^2 does, in steps of one.
    """
    task = columns.task
    marks = np.unique(np.concatenate([task.choices.starts, task.facts.starts]))
    ends = np.concatenate([[0], marks, [task.closes]])
    unit = int(np.gcd.reduce(np.diff(ends))) or 1
    source, target = _arcs(task, marks)
    length = (ends[target] - ends[source]) / unit
    arcs = columns.more(len(source), upper=1.0)
    node = np.searchsorted(marks, task.choices.starts) + 1
    forced = np.searchsorted(marks, task.facts.starts) + 1
    for mark in range(1, len(marks) + 1):
        through = np.flatnonzero(node == mark)
        always = float(mark in forced)
        for side in (source, target):
            passing = arcs[side == mark]
            columns.rows.add(
                np.concatenate([passing, through]),
                np.concatenate([np.ones(len(passing)), -np.ones(len(through))]),
                lower=always,
                upper=always,
            )
    columns.rows.add(arcs[source == 0], 1.0, lower=1.0, upper=1.0)
    return columns.goal(arcs, length * (length - 1) / 2)


def _arcs(task: Task, marks: Ints) -> tuple[Ints, Ints]:
    """Pairs of marks (0 the opening) that may follow each other: not too near, no fact between."""
    last = len(marks) + 1
    source, target = np.triu_indices(last + 1, 1)
    engaged = task.occupied - task.choices.starts
    nearest = int(engaged.min()) if len(engaged) else 0
    ends = np.concatenate([[0], marks, [task.closes]])
    forced = np.zeros(last + 1, dtype=np.int64)
    forced[np.searchsorted(marks, task.facts.starts) + 1] = 1
    before = np.concatenate([[0], np.cumsum(forced)])
    between = before[target] - before[source + 1]
    inner = (source > 0) & (target < last) & (forced[source] + forced[target] == 0)
    near = inner & (ends[target] - ends[source] < nearest)
    kept = (between == 0) & ~near
    return source[kept], target[kept]
