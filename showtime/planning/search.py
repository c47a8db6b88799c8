"""Level after level: each proven best before the next begins, and never made worse by it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.goals import Aim
from showtime.planning.highs import Programme, solve
from showtime.planning.limits import cuts, limit_rows
from showtime.planning.programme import Columns, Goal
from showtime.planning.task import Task


def settled(
    task: Task, aims: Sequence[Aim], remaining: Callable[[], float], known: Ints | None = None
) -> tuple[Ints | None, list[bool]]:
    """The best choices by the first aim, among those by the second, and so on.

    With them, per aim, whether that is proven; and where time ran out, the best so far. `known`
    keeps every rule. No choices: none were found in time, or none exist.
    """
    if not len(task.choices):
        return np.zeros(0, dtype=np.int64), [True] * len(aims)
    search = _Search(task, remaining)
    best, proven = known, []
    for to_goal in aims:
        chosen, sure = search.settle(to_goal(search.columns), best)
        if chosen is None:
            break
        best = chosen
        proven.append(sure)
        if not sure:
            break
    return best, proven + [False] * (len(aims) - len(proven))


class _Search:
    """One task's programme; it grows by a row for every level that has been settled."""

    def __init__(self, task: Task, remaining: Callable[[], float]) -> None:
        self.columns = Columns(task)
        self._task = task
        self._remaining = remaining
        self._rows = limit_rows(task)

    def settle(self, goal: Goal, known: Ints | None) -> tuple[Ints | None, bool]:
        """The best choices by `goal` that keep every rule exactly, and whether that is proven.

        From then on nothing may be worse by this goal. No choices: none were found in time.
        """
        start = None if known is None else self.columns.point(known)
        while True:
            outcome = solve(
                self._programme(goal.cost),
                seconds=self._remaining(),
                gap=0.999 * goal.step or 1e-6,
                start=start,
            )
            if outcome.values is None:
                return None, False
            chosen = np.flatnonzero(outcome.values[: len(self._task.choices)] > 0.5)
            against = cuts(self._task, chosen)
            if not len(against):
                self._hold(goal, float(goal.cost @ self.columns.point(chosen)))
                return chosen, outcome.proven
            self._rows = self._rows.extended(against)

    def _programme(self, cost: Floats) -> Programme:
        columns = self.columns
        rows = self._rows.extended(columns.rows).packed()
        return Programme(cost, columns.lower, columns.upper, columns.whole, rows)

    def _hold(self, goal: Goal, reached: float) -> None:
        costly = np.flatnonzero(goal.cost)
        if not len(costly):
            return
        scale = float(abs(goal.cost).max())
        most = reached + (0.01 * goal.step or 1e-6)
        self._rows.add(costly, goal.cost[costly] / scale, upper=most / scale)
