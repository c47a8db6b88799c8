"""A plan without thinking ahead, for when there is no time for a better one."""

from __future__ import annotations

import numpy as np

from showtime.planning.gauges import Ints
from showtime.planning.limits import limits
from showtime.planning.task import Task


def filled(task: Task, chosen: Ints) -> Ints:
    """The choices made, and of the others each that still fits, the worthiest and earliest first.

    `chosen` keeps every rule; so does the result.
    """
    rules = limits(task)
    packed = rules.always.joined(rules.often)
    level = np.zeros(len(packed.lower))
    order = np.argsort(packed.column, kind="stable")
    begins = np.searchsorted(packed.column[order], np.arange(len(task.choices) + 1))

    def entries(choice: int) -> Ints:
        return order[begins[choice] : begins[choice + 1]]

    taken = list(chosen.tolist())
    for choice in taken:
        mine = entries(choice)
        level[packed.row[mine]] += packed.factor[mine]
    for choice in range(len(task.choices)):
        mine = entries(choice)
        after = level[packed.row[mine]] + packed.factor[mine]
        if choice not in taken and (after <= packed.upper[packed.row[mine]]).all():
            level[packed.row[mine]] = after
            taken.append(choice)
    return np.array(sorted(taken), dtype=np.int64)
