"""Level after level: each proven best before the next begins, and never made worse by it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.goals import Columns, Goal
from showtime.planning.highs import Programme, solve
from showtime.planning.limits import cuts, limit_rows
from showtime.planning.task import Task


class Search:
    """One task's programme; it grows by a row for every level that has been settled."""

    def __init__(self, task: Task, remaining: Callable[[], float]) -> None:
        self.columns = Columns(task)
        self._task = task
        self._remaining = remaining
        self._rows = limit_rows(task)

    def settle(self, goal: Goal) -> tuple[Ints | None, bool]:
        """The best choices by `goal` that keep every rule exactly, and whether that is proven.

        From then on nothing may be worse by this goal. No choices: none were found in time.
        """
        while True:
            cost = np.zeros(len(self.columns))
            cost[: len(goal.cost)] = goal.cost
            outcome = solve(self._programme(cost), seconds=self._remaining(), gap=_gap(goal))
            if outcome.values is None:
                return None, False
            chosen = np.flatnonzero(outcome.values[: len(self._task.choices)] > 0.5)
            against = cuts(self._task, chosen)
            if not len(against):
                self._hold(goal, float(cost @ outcome.values))
                return chosen, outcome.proven
            self._rows = self._rows.extended(against)

    def _programme(self, cost: Floats) -> Programme:
        columns = self.columns
        rows = self._rows.extended(columns.rows)
        return Programme(cost, columns.lower, columns.upper, columns.whole, rows.packed())

    def _hold(self, goal: Goal, reached: float) -> None:
        costly = np.flatnonzero(goal.cost)
        if not len(costly):
            return
        scale = float(abs(goal.cost).max())
        most = round(reached) + 0.01 if goal.step else reached + 1e-6 * scale
        self._rows.add(costly, goal.cost[costly] / scale, upper=most / scale)


def _gap(goal: Goal) -> float:
    return 0.999 * goal.step if goal.step else 1e-6
