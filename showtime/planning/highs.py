"""The seam to HiGHS: linear programmes in arrays, solved within a time, and honest answers."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.rows import PackedRows

# How far a row may be off in the solver's eyes; a plan is checked more sharply afterwards.
FEASIBLE = 1e-9


@dataclass(frozen=True)
class Programme:
    """Minimise cost . x within bounds and rows; the columns marked `whole` are whole numbers."""

    cost: Floats
    lower: Floats
    upper: Floats
    whole: Ints
    rows: PackedRows

    def within(self, kept: Ints) -> Programme:
        """The programme in which all other columns are nought."""
        return Programme(
            self.cost[kept],
            self.lower[kept],
            self.upper[kept],
            self.whole[kept],
            self.rows.over(kept, len(self.cost)),
        )


@dataclass(frozen=True)
class Outcome:
    """The best found (None: nothing), whether it is proven best, and whether none can exist.

    `duals`: the rows' prices, of a relaxation only. `least`: nothing costs less (HiGHS's own word,
    in floating arithmetic).
    """

    values: Floats | None
    proven: bool = False
    impossible: bool = False
    duals: Floats = field(default_factory=lambda: np.zeros(0))
    least: float = -np.inf

    def spread(self, kept: Ints, columns: int) -> Outcome:
        """The same over so many columns, when it was found over the `kept` ones."""
        if self.values is None:
            return self
        values = np.zeros(columns)
        values[kept] = self.values
        return replace(self, values=values)


def solve(
    programme: Programme, *, seconds: float, gap: float, start: Floats | None = None
) -> Outcome:
    """Solve within `seconds`; proven means within `gap` of the best, in units of the cost."""
    if seconds <= 0:
        return Outcome(None)
    model = _model(programme, programme.whole)
    model.setOptionValue("primal_feasibility_tolerance", FEASIBLE)
    model.setOptionValue("mip_feasibility_tolerance", FEASIBLE)
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", gap)
    if start is not None:
        model.setSolution(len(start), np.arange(len(start), dtype=np.int32), start)
    return _run(model, seconds, bool(programme.whole.any()))


class Relaxation:
    """The programme with parts of wholes allowed; rows may be added, and it goes on from there."""

    def __init__(self, programme: Programme) -> None:
        self._model = _model(programme, np.zeros_like(programme.whole))

    def add(self, rows: PackedRows) -> None:
        self._model.addRows(
            len(rows.lower),
            rows.lower,
            rows.upper,
            len(rows.column),
            rows.begins.astype(np.int32),
            rows.column.astype(np.int32),
            rows.factor,
        )

    def solve(self, seconds: float) -> Outcome:
        """The cheapest within `seconds`, with the prices of the rows in the order they came."""
        if seconds <= 0:
            return Outcome(None)
        outcome = _run(self._model, seconds)
        if not (outcome.proven or outcome.impossible):
            # From where it stood it may have lost its way: once more, from the beginning.
            self._model.clearSolver()
            outcome = _run(self._model, seconds)
        return outcome


def _model(programme: Programme, whole: Ints) -> Any:
    model = _silent()()
    model.setOptionValue("threads", 1)
    rows = programme.rows
    model.passModel(
        len(programme.cost),
        len(rows.lower),
        len(rows.column),
        2,  # entries row by row
        1,  # minimise
        0.0,
        programme.cost,
        programme.lower,
        programme.upper,
        rows.lower,
        rows.upper,
        rows.begins.astype(np.int32),
        rows.column.astype(np.int32),
        rows.factor,
        whole.astype(np.int32),
    )
    return model


@cache
def _silent() -> Any:
    """HiGHS without the lines that it prints when it is first made."""
    import highspy

    class Silent(highspy.Highs):
        def enableCallbacks(self) -> None:
            self.setOptionValue("output_flag", False)

    return Silent


def _run(model: Any, seconds: float, mixed: bool = False) -> Outcome:
    import highspy

    model.setOptionValue("time_limit", seconds)
    model.run()
    ended = model.getModelStatus()
    status = highspy.HighsModelStatus
    if ended in (status.kInfeasible, status.kUnboundedOrInfeasible):
        return Outcome(None, impossible=True)
    if ended == status.kModelEmpty:
        return _empty(model)
    least = _least(model, mixed, ended == status.kOptimal)
    if not np.isfinite(model.getInfo().objective_function_value):
        return Outcome(None, least=least)
    solution = model.getSolution()
    if not solution.value_valid:
        return Outcome(None, least=least)
    return Outcome(
        np.array(solution.col_value),
        ended == status.kOptimal,
        False,
        np.array(solution.row_dual),
        least,
    )


def _least(model: Any, mixed: bool, done: bool) -> float:
    info = model.getInfo()
    if mixed:
        return float(info.mip_dual_bound)
    return float(info.objective_function_value) if done else -np.inf


def _empty(model: Any) -> Outcome:
    """Without columns every row adds up to nought, which HiGHS does not look at."""
    rows = model.getLp()
    if max(rows.row_lower_, default=0.0) > 0 or min(rows.row_upper_, default=0.0) < 0:
        return Outcome(None, impossible=True)
    return Outcome(np.zeros(0), proven=True, duals=np.zeros(model.getNumRow()), least=0.0)
