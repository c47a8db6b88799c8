"""The relaxation of a level: with the rows it runs against, and the waits worth looking at."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from showtime.planning.bounds import Bounds, bounds
from showtime.planning.gauges import Floats, Ints
from showtime.planning.highs import Outcome, Relaxation
from showtime.planning.model import TOLERATED, Model
from showtime.planning.programme import Goal
from showtime.planning.rows import PackedRows

# So many waits at most are let in at a time.
MOST_AT_ONCE = 4000


def relaxed(
    model: Model, goal: Goal, known: Ints | None, remaining: Callable[[], float]
) -> Bounds | None:
    """Bounds on the cost of every plan, and of those that use a column; None: no time for it.

    Long waits are left out at first, and let in where the prices say that they could pay.
    """
    columns, flow = model.columns, model.columns.flow
    dormant = np.zeros(len(columns), dtype=np.bool_)
    if flow is not None and known is not None:
        dormant[flow.arcs] = flow.seldom(columns.point(known)[flow.arcs])
    cost = columns.padded(goal.cost)
    while True:
        kept = np.flatnonzero(model.alive & ~dormant)
        found = _prices(model, goal, kept, remaining)
        if isinstance(found, Outcome):
            if remaining() <= 0:
                return None
            # Should HiGHS fail at the relaxation, nothing is known of any plan's cost.
            least = np.inf if found.impossible else -np.inf
            return Bounds(least, np.full(len(columns), least))
        rows, prices, reached = found
        low = bounds(cost, columns.upper, model.alive, rows, prices, flow)
        missing = dormant & model.alive & (low.through < reached - TOLERATED * abs(reached))
        if not missing.any():
            return low
        wanted = np.flatnonzero(missing)
        wanted = wanted[np.argsort(low.through[wanted], kind="stable")][:MOST_AT_ONCE]
        dormant[wanted] = False


def _prices(
    model: Model, goal: Goal, kept: Ints, remaining: Callable[[], float]
) -> tuple[PackedRows, Floats, float] | Outcome:
    """All rows but the flow's, their prices, and the cost, once no more rows are run against.

    An outcome when there are no prices.
    """
    columns = model.columns
    rows = model.rows()
    flowing = columns.flow_rows.packed()
    flow_begins, flow_ends = len(rows), len(rows) + len(flowing)
    programme = model.programme(goal, rows.joined(flowing)).within(kept)
    relaxation = Relaxation(programme)
    while True:
        outcome = relaxation.solve(remaining())
        if outcome.values is None or not outcome.proven:
            return outcome
        values = np.zeros(len(columns))
        values[kept] = outcome.values
        more = model.run_against(values)
        if not len(more):
            prices = np.delete(outcome.duals, slice(flow_begins, flow_ends))
            return rows, prices, float(programme.cost @ outcome.values)
        rows = rows.joined(more)
        relaxation.add(more.over(kept, len(columns)))
