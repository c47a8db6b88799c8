"""The last levels: short waits, and starts at round times."""

from __future__ import annotations

import numpy as np

from showtime.fair.hall import HallLevel, HallWish
from showtime.fair.wishes import Wish
from showtime.planning.hall.search import Search
from showtime.planning.values import value


def least_wait(search: Search) -> HallLevel:
    reached = _sum(search, Wish.WAIT)
    bound = 0.0
    for booth, most in zip(search.joint.booths, search.alone.counts.tolist(), strict=True):
        bound += booth.task.day.hours.length.total_seconds() / 60 / (2 * (most + 1))
    return HallLevel(HallWish.WAIT, reached, min(bound, reached))


def roundest(search: Search) -> HallLevel:
    reached = _sum(search, Wish.ROUND_TIMES)
    return HallLevel(HallWish.ROUND_TIMES, reached, min(0.0, reached))


def _sum(search: Search, wish: Wish) -> float:
    given = search.joint.performances(search.chosen)
    days = search.joint.hall.days
    return float(np.sum([value(day, wish, mine) for day, mine in zip(days, given, strict=True)]))
