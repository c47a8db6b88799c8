"""The mean wait as the cost of a path: a unit flow along the day.

Opening -> start -> ... -> closing; the flow through a start is the sum of its choices, so a plan's
flow is its one path, and the waits are the lengths of its arcs.
"""

from __future__ import annotations

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.moments import SECOND
from showtime.planning.programme import Columns, Goal
from showtime.planning.task import Task

# Above this, sums of squares are not whole numbers that a solver can tell apart.
LONGEST_IN_UNITS = 20_000


def wait_goal(columns: Columns) -> Goal:
    """The sum of squared waits, less what is the same for all plans.

    An arc of length g costs g (g - 1) / 2: as the lengths of a path add up to the open hours, this
    orders plans as the sum of g^2 does, in whole numbers and in steps of one.
    """
    task = columns.task
    marks = np.unique(np.concatenate([task.choices.starts, task.facts.starts]))
    along = np.concatenate([[0], marks, [task.closes]])
    source, target = _arcs(task, marks, along)
    arcs = columns.more(len(source))
    _conserve(columns, marks, source, target, arcs)
    columns.completed_by(arcs, lambda chosen: _path(task, marks, chosen, source, target))
    unit = int(np.gcd.reduce(np.diff(along))) or 1
    if task.closes > LONGEST_IN_UNITS * unit:
        length = (along[target] - along[source]) / (60 * SECOND)
        return Goal(columns.padded(length**2 / 2, arcs), 0.0)
    length = (along[target] - along[source]) // unit
    return Goal(columns.padded(length * (length - 1) / 2, arcs), 1.0)


def _conserve(columns: Columns, marks: Ints, source: Ints, target: Ints, arcs: Ints) -> None:
    """At every mark: what comes in, and what goes out, is what is performed there."""
    task = columns.task
    at = np.searchsorted(marks, task.choices.starts) + 1
    forced = set((np.searchsorted(marks, task.facts.starts) + 1).tolist())
    for mark in range(1, len(marks) + 1):
        through = np.flatnonzero(at == mark)
        always = float(mark in forced)
        for side in (source, target):
            passing = arcs[side == mark]
            factors = np.append(np.ones(len(passing)), -np.ones(len(through)))
            columns.rows.add(np.append(passing, through), factors, lower=always, upper=always)
    columns.rows.add(arcs[source == 0], 1.0, lower=1.0, upper=1.0)


def _arcs(task: Task, marks: Ints, along: Ints) -> tuple[Ints, Ints]:
    """Pairs of marks (0 the opening) that may follow each other: not too near, no fact between."""
    last = len(marks) + 1
    source, target = np.triu_indices(last + 1, 1)
    forced = np.zeros(last + 1, dtype=np.int64)
    forced[np.searchsorted(marks, task.facts.starts) + 1] = 1
    upto = np.concatenate([[0], np.cumsum(forced)])
    free = upto[target] == upto[source + 1]
    nearest = int(task.engages.min())
    chosen = (source > 0) & (target < last) & (forced[source] + forced[target] < 2)
    near = chosen & (along[target] - along[source] < nearest)
    return source[free & ~near], target[free & ~near]


def _path(task: Task, marks: Ints, chosen: Ints, source: Ints, target: Ints) -> Floats:
    starts = np.concatenate([task.choices.starts[chosen], task.facts.starts])
    visited = np.unique(np.searchsorted(marks, starts) + 1)
    stops = np.concatenate([[0], visited, [len(marks) + 1]])
    after = np.zeros(len(marks) + 2, dtype=np.int64)
    after[stops[:-1]] = stops[1:]
    return np.asarray(after[source] == target, dtype=np.float64)
