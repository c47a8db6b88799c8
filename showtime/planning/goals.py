"""The wishes as costs over columns: lower is better, each in its own exact units."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from math import gcd, lcm

import numpy as np

from showtime.fair.wishes import Wish
from showtime.planning.flow import wait_goal
from showtime.planning.gauges import Floats, Ints, Pair
from showtime.planning.moments import as_instant
from showtime.planning.programme import Columns, Goal

# Costs are scaled to whole numbers up to this, so that "better" means better by one.
WHOLE_UP_TO = 10**6

Aim = Callable[[Columns], Goal]


def aim(wish: Wish) -> Aim:
    """How to turn a wish into a cost."""
    return {
        Wish.PERFORMANCES: _performances,
        Wish.WAIT: wait_goal,
        Wish.ROUND_TIMES: _round_times,
        Wish.EVEN_PIECES: _even_pieces,
    }[wish]


def as_many_of(wanted: Iterable[Pair]) -> Aim:
    """As many of these performances as possible."""
    pairs = set(wanted)

    def counted(columns: Columns) -> Goal:
        choices = columns.task.choices.pairs()
        return Goal(columns.padded(np.array([-float(pair in pairs) for pair in choices])), 1.0)

    return counted


def _performances(columns: Columns) -> Goal:
    day = columns.task.day
    worth = [day.wishes.worth(as_instant(day, int(start))) for start in columns.task.choices.starts]
    cost, step = whole(-np.array(worth, dtype=np.float64))
    return Goal(columns.padded(cost), step)


def _round_times(columns: Columns) -> Goal:
    day = columns.task.day
    ranks = [
        day.wishes.rank(day.local(as_instant(day, int(start))).minute)
        for start in columns.task.choices.starts
    ]
    return Goal(columns.padded(np.array(ranks, dtype=np.float64)), 1.0)


def _even_pieces(columns: Columns) -> Goal:
    task = columns.task
    most, least = columns.more(2, upper=len(task.choices) + len(task.facts), whole=True)
    groups = []
    for piece in task.day.pieces:
        alike = [number for number, one in enumerate(task.pieces) if one.name == piece.name]
        those = np.flatnonzero(np.isin(task.choices.piece, alike))
        already = int(np.isin(task.facts.piece, alike).sum())
        groups.append((those, already))
        counted = np.append(np.ones(len(those)), -1.0)
        columns.rows.add(np.append(those, most), counted, upper=-already)
        columns.rows.add(np.append(those, least), counted, lower=-already)

    def counts(chosen: Ints) -> Floats:
        played = [already + int(np.isin(chosen, those).sum()) for those, already in groups]
        return np.array([max(played), min(played)], dtype=np.float64)

    columns.completed_by(np.array([most, least]), counts)
    return Goal(columns.padded(np.array([1.0, -1.0]), np.array([most, least])), 1.0)


def whole(cost: Floats) -> tuple[Floats, float]:
    """The costs in units of their common measure, and the least difference of two sums of them.

    That is one where the costs are decimal fractions short enough to have a measure; else the
    costs are left as they are, and the difference is nought: not known.
    """
    exact = [Fraction(str(float(value))) for value in np.unique(cost)]
    scale = lcm(*(value.denominator for value in exact))
    scaled = [int(value * scale) for value in exact]
    measure = gcd(*scaled) or 1
    if any(abs(value) // measure > WHOLE_UP_TO for value in scaled):
        return cost, 0.0
    return np.rint(cost * (scale / measure)), 1.0
