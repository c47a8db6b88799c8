"""The mean waits of several stalls as costs: each stall's day is a path of its own.

Opening -> start -> ... -> closing, as of a single stall; the waits are the lengths of the arcs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import gcd, lcm

import numpy as np

from showtime.planning.flow import LONGEST_IN_UNITS, Flow
from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.hall.joint import Joint
from showtime.planning.hall.part import Part, Terms
from showtime.planning.moments import MINUTE
from showtime.planning.rows import PackedRows, Rows

WEIGHTS_UP_TO = 10_000
"""Weights larger than this are not worth being whole."""


@dataclass(frozen=True)
class Measure:
    """What waits cost, so that the sum over all stalls orders plans as their mean waits do.

    A wait of n of a stall's units costs weight n (n - 1) / 2, in steps of one: with a unit u and
    open hours T the mean wait is u/2 more than (u^2/T) n (n - 1) / 2. Where that has no common
    measure the cost is the wait itself, in minutes, and `step` 0.
    """

    unit: Ints
    weight: Floats
    step: float
    minutes: float

    def cost(self, stall: int, lengths: Ints) -> Floats:
        """Of arcs so long (microseconds)."""
        if self.step:
            units = lengths // self.unit[stall]
            return np.asarray(self.weight[stall] * (units * (units - 1) / 2))
        return np.asarray(self.weight[stall] * (lengths / MINUTE) ** 2)

    def wait(self, cost: float) -> float:
        """All stalls' mean waits in sum, in minutes."""
        return cost * self.minutes + (float(self.unit.sum()) / 2 / MINUTE if self.step else 0.0)


def measure(joint: Joint) -> Measure:
    units, each = [], []
    for booth in joint.booths:
        closes = booth.task.closes
        unit = gcd(closes, *booth.task.choices.starts.tolist())
        units.append(unit)
        each.append(Fraction(unit, MINUTE) ** 2 / Fraction(closes, MINUTE))
    scale = lcm(*(one.denominator for one in each))
    shared = gcd(*(int(one * scale) for one in each)) or 1
    weights = [int(one * scale) // shared for one in each]
    unit_of = np.array(units, dtype=np.int64)
    longest = max((booth.task.closes // unit_of[booth.number] for booth in joint.booths), default=0)
    if max(weights, default=0) > WEIGHTS_UP_TO or longest > LONGEST_IN_UNITS:
        plain = [MINUTE / (2 * booth.task.closes) for booth in joint.booths]
        return Measure(unit_of, np.array(plain), 0.0, 1.0)
    return Measure(unit_of, np.array(weights, dtype=np.float64), 1.0, shared / scale)


@dataclass(frozen=True)
class Strand:
    """One stall's path over the choices of a part: `mine` are their columns there.

    The flow numbers the choices first, then its arcs; `cost` is that of the arcs.
    """

    stall: int
    mine: Ints
    flow: Flow
    cost: Floats

    def only(self, which: Truths) -> Strand:
        """With some of the arcs."""
        flow, count = self.flow, len(self.mine)
        arcs = count + np.arange(int(which.sum()))
        kept = replace(flow, arcs=arcs, source=flow.source[which], target=flow.target[which])
        return replace(self, flow=kept, cost=self.cost[which])

    def path(self, known: Truths) -> Floats:
        """The arcs of a plan (of the part's columns, those made)."""
        return self.flow.path(np.flatnonzero(known[self.mine]))

    def usual(self, known: Truths, times: float) -> Truths:
        """Arcs no longer than so many times those of a plan are on average; all of its own.

        And the shortest ones from each mark, and to each.
        """
        flow = self.flow
        passed = self.path(known)
        length = flow.along[flow.target] - flow.along[flow.source]
        nearest = np.full((2, flow.marks), flow.along[-1])
        np.minimum.at(nearest[0], flow.source, length)
        np.minimum.at(nearest[1], flow.target, length)
        short = (length <= nearest[0][flow.source]) | (length <= nearest[1][flow.target])
        some = length <= times * flow.along[-1] / max(passed.sum(), 1.0)
        return np.asarray(short | some | (passed > 0))


def strands(part: Part, gauge: Measure, forced: Truths | None = None) -> list[Strand]:
    """A path for each of the part's stalls; `forced` choices (by column) are not passed by."""
    return [_strand(part, stall, gauge, forced) for stall in part.stalls]


def _strand(part: Part, stall: int, gauge: Measure, forced: Truths | None) -> Strand:
    joint, mine = part.joint, part.counting(stall)
    booth = joint.booths[stall]
    starts = joint.starts[part.columns[mine]] - booth.opens
    marks = np.unique(starts)
    along = np.concatenate([[0], marks, [booth.task.closes]])
    must = np.zeros(len(along), dtype=np.int64)
    if forced is not None:
        must[np.searchsorted(marks, starts[forced[mine]]) + 1] = 1
    source, target = np.triu_indices(len(along), 1)
    upto = np.append(0, np.cumsum(must))
    free = upto[target] == upto[source + 1]
    inner = (source > 0) & (target < len(along) - 1)
    length = along[target] - along[source]
    free &= ~inner | (length >= int(booth.task.engages.min()))
    source, target = source[free], target[free]
    at = np.searchsorted(marks, starts) + 1
    arcs = len(mine) + np.arange(len(source))
    flow = Flow(along, arcs, source, target, at, np.zeros(0, np.int64))
    return Strand(stall, mine, flow, gauge.cost(stall, length[free]))


def flowing(those: Sequence[Strand], first: int) -> PackedRows:
    """The flows' rows: at every mark as much comes and goes as is performed; arcs from `first`."""
    rows = Rows()
    for strand in those:
        flow = strand.flow
        arcs = first + np.arange(len(flow.arcs))
        first += len(flow.arcs)
        for side, begin in ((flow.target, 1), (flow.source, 0)):
            row = np.concatenate([side, flow.at]) - begin
            column = np.concatenate([arcs, strand.mine])
            factor = np.concatenate([np.ones(len(arcs)), -np.ones(len(strand.mine))])
            always = np.zeros(flow.marks - 1)
            always[-begin] = 1.0  # closing is always reached, opening always left
            rows.add_entries(row, column, factor, always)
    return rows.packed()


def waiting(
    part: Part,
    those: Sequence[Strand],
    asked: Terms,
    ranks: Floats | None = None,
    most: float = np.inf,
    step: float = 0.0,
) -> Terms:
    """The shortest waits beside what is asked, in steps of `step`.

    With `ranks` (per column), the roundest times while the waits cost no more than `most`. `asked`
    has rows alone, and columns that are whole.
    """
    first = len(part.columns) + asked.whole
    rows = Rows()
    if asked.rows is not None:
        rows.add_packed(asked.rows)
    rows.add_packed(flowing(those, first))
    arcs = np.concatenate([np.zeros(0), *(strand.cost for strand in those)])
    cost = np.append(np.zeros(first), arcs)
    if ranks is not None:
        scale = max(float(arcs.max(initial=0.0)), 1e-9)
        there = np.flatnonzero(arcs)
        rows.add(first + there, arcs[there] / scale, upper=most / scale)
        cost = np.concatenate([ranks, np.zeros(asked.whole + len(arcs))])

    def completed(known: Truths) -> Floats:
        extra = np.zeros(asked.whole) if asked.completed is None else asked.completed(known)
        return np.concatenate([extra, *(strand.path(known) for strand in those)])

    return Terms(cost, step, rows.packed(), asked.whole, len(arcs), completed)
