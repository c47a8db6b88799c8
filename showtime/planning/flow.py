"""The mean wait as the cost of a path: a unit flow along the day.

Opening -> start -> ... -> closing; the flow through a start is the sum of its choices, so a plan's
flow is its one path, and the waits are the lengths of its arcs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.moments import MINUTE
from showtime.planning.programme import Columns, Goal
from showtime.planning.task import Task

# Above this, sums of squares are not whole numbers that a solver can tell apart.
LONGEST_IN_UNITS = 20_000

# As many arcs as a relaxation looks at gladly.
MANY = 15_000


@dataclass(frozen=True)
class Flow:
    """The arcs between marks: 0 is the opening, the last is closing, the others are starts.

    `along` is when they are, `arcs` the columns of the arcs, `at` the mark of each choice;
    every path passes the `forced` marks.
    """

    along: Ints
    arcs: Ints
    source: Ints
    target: Ints
    at: Ints
    forced: Ints

    @property
    def marks(self) -> int:
        return len(self.along)

    def cheapest(self, cost: Floats) -> Floats:
        """Per choice and arc, the cost of the cheapest path that uses it.

        `cost` is that of all columns; infinity bars one. At each start on the way one choice is
        made, none where a fact forces the path through.
        """
        here = np.full(self.marks, np.inf)
        np.minimum.at(here, self.at, cost[: len(self.at)])
        here[self.forced] = 0.0
        here[[0, -1]] = 0.0
        between = np.full((self.marks, self.marks), np.inf)
        between[self.source, self.target] = cost[self.arcs]
        coming, going = np.zeros(self.marks), np.zeros(self.marks)
        for mark in range(1, self.marks):
            before = slice(0, mark)
            coming[mark] = (coming[before] + here[before] + between[before, mark]).min()
        for mark in range(self.marks - 2, -1, -1):
            beyond = slice(mark + 1, self.marks)
            going[mark] = (between[mark, beyond] + here[beyond] + going[beyond]).min()
        through = np.full(len(cost), np.inf)
        through[: len(self.at)] = coming[self.at] + cost[: len(self.at)] + going[self.at]
        left, reached = coming + here, here + going
        through[self.arcs] = left[self.source] + cost[self.arcs] + reached[self.target]
        return through

    def seldom(self, passed: Floats) -> Truths:
        """Arcs far longer than those of a known plan are on average; of very many, most.

        Never its own, nor the shortest from each mark.
        """
        length = self.along[self.target] - self.along[self.source]
        usual = (self.along[-1] - self.along[0]) / passed.sum()
        nearest = np.full(self.marks, self.along[-1])
        np.minimum.at(nearest, self.source, length)
        some = length <= 2 * usual
        thin = int(some.sum()) // MANY + 1
        some &= (self.source + self.target) % thin == 0
        return np.asarray(~some & (length > nearest[self.source]) & (passed == 0))

    def path(self, chosen: Ints) -> Floats:
        """The arcs of a plan: 1 where it passes."""
        stops = np.unique(np.concatenate([[0, self.marks - 1], self.at[chosen], self.forced]))
        after = np.zeros(self.marks, dtype=np.int64)
        after[stops[:-1]] = stops[1:]
        return np.asarray(after[self.source] == self.target, dtype=np.float64)


def wait_goal(columns: Columns) -> Goal:
    """The sum of squared waits, less what is the same for all plans.

    An arc of length g costs g (g - 1) / 2: as the lengths of a path add up to the open hours, this
    orders plans as the sum of g^2 does, in whole numbers and in steps of one.
    """
    task = columns.task
    starts = np.unique(np.concatenate([task.choices.starts, task.facts.starts]))
    along = np.concatenate([[0], starts, [task.closes]])
    flow = _flow(columns, starts, along)
    columns.flow = flow
    columns.completed_by(flow.arcs, flow.path)
    length = along[flow.target] - along[flow.source]
    unit = int(np.gcd.reduce(np.diff(along))) or 1
    if task.closes > LONGEST_IN_UNITS * unit:
        return Goal(columns.padded((length / MINUTE) ** 2 / 2, flow.arcs), 0.0)
    length = length // unit
    return Goal(columns.padded(length * (length - 1) / 2, flow.arcs), 1.0)


def _flow(columns: Columns, starts: Ints, along: Ints) -> Flow:
    task = columns.task
    at = np.searchsorted(starts, task.choices.starts) + 1
    forced = np.unique(np.searchsorted(starts, task.facts.starts) + 1)
    source, target = _arcs(task, forced, along)
    flow = Flow(along, columns.more(len(source)), source, target, at, forced)
    _conserve(columns, flow)
    return flow


def _conserve(columns: Columns, flow: Flow) -> None:
    """At every mark: what comes in, and what goes out, is what is performed there."""
    choices = np.arange(len(flow.at))
    needed = np.zeros(flow.marks)
    needed[flow.forced] = 1.0
    for side, begin in ((flow.target, 1), (flow.source, 0)):
        row = np.concatenate([side, flow.at])
        column = np.concatenate([flow.arcs, choices])
        factor = np.concatenate([np.ones(len(side)), -np.ones(len(choices))])
        inner = slice(begin, flow.marks - 1 + begin)
        always = needed.copy()
        always[0] = 1.0
        always[-1] = 1.0
        columns.flow_rows.add_entries(row - begin, column, factor, always[inner])


def _arcs(task: Task, forced: Ints, along: Ints) -> tuple[Ints, Ints]:
    """Pairs of marks that may follow each other: not too near, no fact between."""
    last = len(along) - 1
    source, target = np.triu_indices(last + 1, 1)
    is_forced = np.zeros(last + 1, dtype=np.int64)
    is_forced[forced] = 1
    upto = np.concatenate([[0], np.cumsum(is_forced)])
    free = upto[target] == upto[source + 1]
    nearest = int(task.engages.min())
    chosen = (source > 0) & (target < last) & (is_forced[source] + is_forced[target] < 2)
    near = chosen & (along[target] - along[source] < nearest)
    return source[free & ~near], target[free & ~near]
