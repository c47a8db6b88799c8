"""From a day to its plan."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from showtime.fair import Day, Plan
from showtime.fair.wishes import Level
from showtime.planning.clash import Clash, clash_of
from showtime.planning.goals import goal
from showtime.planning.search import Search
from showtime.planning.task import day_task
from showtime.planning.values import value


def plan(day: Day, *, limit: float = 20.0, monotonic: Callable[[], float]) -> Plan | Clash:
    """The best plan of a day: every rule kept, its wishes fulfilled level after level.

    `limit` is the time in seconds that may be spent; when it runs out the best plan so far is
    given and its levels say that they are not proven. `monotonic` tells seconds that pass.
    """
    begun = monotonic()
    task = day_task(day)
    search = Search(task, lambda: begun + limit - monotonic())
    best = np.zeros(0, dtype=np.int64)
    proven: list[bool] = []
    for wish in day.wishes.order:
        chosen, sure = search.settle(goal(wish, search.columns))
        if chosen is None:
            break
        best = chosen
        proven.append(sure)
    performances = task.performances(best)
    missing = len(day.wishes.order) - len(proven)
    levels = tuple(
        Level(wish, value(day, wish, performances), sure)
        for wish, sure in zip(day.wishes.order, proven + [False] * missing, strict=True)
    )
    return Plan(day, performances, levels, monotonic() - begun)
