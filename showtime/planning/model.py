"""The programme of one task as it stands: it grows by rows and loses columns on the way."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.greedy import filled
from showtime.planning.highs import Programme
from showtime.planning.limits import cuts, limits
from showtime.planning.programme import Columns, Goal
from showtime.planning.rows import PackedRows, Rows
from showtime.planning.task import Task

# Rows that are passed by no more than this do not yet bind.
TOLERATED = 1e-7


class Model:
    """Columns of which some are not `alive` (nought in every plan still wanted), and rows.

    Of the many rows for single moments only those are in use that something ran against.
    """

    def __init__(self, task: Task) -> None:
        self.task = task
        self.columns = Columns(task)
        self.limits = limits(task)
        self._alive = ~self.limits.barred
        self._used = np.zeros(len(self.limits.often), dtype=np.bool_)
        self._settled = Rows()

    @property
    def alive(self) -> Truths:
        more = len(self.columns) - len(self._alive)
        self._alive = np.append(self._alive, np.ones(more, dtype=np.bool_))
        return self._alive

    def rows(self) -> PackedRows:
        """All rows in use but those of the flow."""
        rows = self.limits.always.joined(self.columns.rows.packed())
        return rows.joined(self._settled.packed()).joined(self.limits.often.only(self._used))

    def programme(self, goal: Goal, rows: PackedRows) -> Programme:
        columns = self.columns
        cost = columns.padded(goal.cost)
        return Programme(cost, columns.lower, columns.upper, columns.whole, rows)

    def run_against(self, values: Floats) -> PackedRows:
        """The rows not in use that these values pass most, one of every stretch; now in use."""
        often = self.limits.often
        excess = np.where(self._used, 0.0, often.levels(values) - often.upper)
        padded = np.concatenate([[0.0], excess, [0.0]])
        passed = (excess >= padded[:-2]) & (excess > padded[2:]) & (excess > TOLERATED)
        self._used |= passed
        return often.only(passed)

    def use_all_rows(self) -> None:
        self._used[:] = True

    def breaks_a_rule(self, chosen: Ints) -> bool:
        """Whether a rule is really broken; if so, by now there are rows against that."""
        against = cuts(self.task, chosen)
        if not len(against):
            return False
        values = np.zeros(len(self.columns))
        values[chosen] = 1.0
        if not len(self.run_against(values)):
            self._settled.add_packed(against.packed())
        return True

    def filled(self, chosen: Ints, order: Sequence[int]) -> Ints:
        """The choices made, which keep every rule, and in this order each that still fits."""
        return filled(self.limits, chosen, order)

    def repaired(self, chosen: Ints, known: Ints) -> Ints:
        """What of `known` is needed, and as much of what was chosen as fits beside it."""
        needed = np.concatenate([np.zeros(0, np.int64), *self.task.needed])
        return filled(self.limits, np.intersect1d(known, needed), chosen.tolist())

    def cost(self, goal: Goal, chosen: Ints) -> float:
        return float(goal.cost @ self.columns.point(chosen)[: len(goal.cost)])

    def hold(self, goal: Goal, reached: float, through: Floats) -> None:
        """From now on no plan is worse than this; columns that only worse plans use are nought."""
        hair = slack(goal, reached)
        self._alive = self.alive & (through <= reached + hair)
        costly = np.flatnonzero(goal.cost)
        if len(costly):
            scale = float(abs(goal.cost).max())
            self._settled.add(costly, goal.cost[costly] / scale, upper=(reached + hair) / scale)


def slack(goal: Goal, cost: float) -> float:
    """What costs may differ by that are really the same."""
    return 0.01 * goal.step if goal.step else 1e-7 * max(1.0, abs(cost))
