"""How little any plan can cost, and any plan that uses a given column: from a relaxation's prices.

For any prices of the rows, the cost less the priced rows' slack is a bound from below (Lagrange).
What is left to minimise falls into single columns, or, where there is a flow, into paths along the
day: the cheapest path through a column tells what a plan with it costs at least.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from showtime.planning.flow import Flow
from showtime.planning.gauges import Floats, Truths
from showtime.planning.rows import PackedRows


@dataclass(frozen=True)
class Bounds:
    """No plan costs less than `low`, none with the column at one less than `through` says."""

    low: float
    through: Floats


def bounds(
    cost: Floats, upper: Floats, alive: Truths, rows: PackedRows, prices: Floats, flow: Flow | None
) -> Bounds:
    """Bounds for columns from nought to `upper`; those not `alive` are nought.

    `rows` are all but those of the flow itself.
    """
    held = np.where(prices > 0, np.isfinite(rows.lower), np.isfinite(rows.upper))
    prices = np.where(held, prices, 0.0)
    sides = np.where(prices > 0, rows.lower, rows.upper)
    constant = float(prices @ np.where(prices == 0, 0.0, sides))
    left = cost - rows.weighed(prices, len(cost))
    if flow is None:
        least = np.where(alive, np.minimum(left * upper, 0.0), 0.0)
        low = constant + float(least.sum())
        return Bounds(low, np.where(alive, low + np.maximum(left, 0.0), np.inf))
    along = np.zeros(len(cost), dtype=np.bool_)
    along[: len(flow.at)] = True
    along[flow.arcs] = True
    constant += float(np.minimum(left * upper, 0.0)[~along].sum())
    path = flow.cheapest(np.where(alive, left, np.inf))
    low = constant + float(path[flow.arcs].min())
    return Bounds(low, np.where(along, constant + path, low))
