"""A plan without thinking ahead, for when there is no time for a better one."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from showtime.planning.gauges import Ints
from showtime.planning.limits import Limits


def filled(limits: Limits, chosen: Ints, order: Iterable[int]) -> Ints:
    """The choices made, and in this order each other that then still fits.

    `chosen` keeps every rule; so does the result.
    """
    rows = limits.always.joined(limits.often)
    by_column = np.argsort(rows.column, kind="stable")
    column, row, factor = rows.column[by_column], rows.row[by_column], rows.factor[by_column]
    begins = np.searchsorted(column, np.arange(len(limits.barred) + 1))
    level = np.zeros(len(rows))
    taken: set[int] = set()
    for choice in [*chosen.tolist(), *order]:
        mine = slice(begins[choice], begins[choice + 1])
        after = level[row[mine]] + factor[mine]
        made = len(taken) < len(chosen)
        fits = not limits.barred[choice] and (after <= rows.upper[row[mine]]).all()
        if choice not in taken and (made or fits):
            level[row[mine]] = after
            taken.add(choice)
    return np.array(sorted(taken), dtype=np.int64)
