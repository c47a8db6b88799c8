"""Rows that no plan needs, for they follow from the rules, but that bring a relaxation nearer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from showtime.planning.crowding import crowding
from showtime.planning.gauges import HAIR, Floats, Ints, LeakGauge, Playings
from showtime.planning.moments import SECOND, ticks
from showtime.planning.rows import Rows
from showtime.planning.task import Task


def rounded(task: Task, added: Floats, allowed: Floats, rows: Rows) -> None:
    """A budget's rows in units of what a piece spends in full, fractions dropped on both sides.

    Whole performances cannot share a unit (Gomory's rounding).
    """
    for number in range(len(task.pieces)):
        unit = added[:, task.choices.piece == number].max(axis=1, initial=0.0)
        spent = unit > 0
        units = np.floor(added[spent] / unit[spent, None])
        most = np.floor(allowed[spent] / unit[spent])
        sharper = (units.sum(axis=1) > most) & (allowed[spent] / unit[spent] - most > HAIR * 10)
        rows.add_matrix(units[sharper], most[sharper])


def leading(task: Task, gauge: LeakGauge, room: Callable[[Ints], Floats], rows: Rows) -> None:
    """Of a level that leaks: what it must have fallen to before each next performance.

    At any mark the level of earlier performances fits in the room there. If one of the choices is
    made that start so soon after it that they rule each other out, it fits in what this one leaves
    of the room at its own peak, before the leak until then.
    """
    choices = task.choices
    marks = np.unique(choices.starts)
    earlier = gauge.added(marks, choices) * (choices.starts < marks[:, None])
    soon = (choices.starts >= marks[:, None]) & (
        choices.starts < marks[:, None] + task.engages.min()
    )
    there = room(marks)[:, None]
    least = np.broadcast_to(there, soon.shape)
    at_end = _at_end(task, gauge)
    for peaks, own in ((choices.starts, gauge.rates.at_start), (choices.ends, at_end)):
        ahead = np.where(soon, peaks - marks[:, None], 0) / SECOND
        left = (room(peaks) - own[choices.piece]) * np.exp(ahead / gauge.time_constant)
        least = np.minimum(least, left)
    level = earlier + soon * (there - least)
    wanted = (there[:, 0] > 0) & (level.sum(axis=1) > there[:, 0])
    rows.add_matrix(level[wanted] / there[wanted], np.ones(int(wanted.sum())))
    peaks = np.concatenate([choices.starts, choices.ends])
    crowding(task, gauge, float(room(peaks).max()), at_end, rows)


def _at_end(task: Task, gauge: LeakGauge) -> Floats:
    """Per piece, what is left at its end of all that it spent."""
    lasts = np.array([ticks(piece.lasts) for piece in task.pieces], dtype=np.int64)
    each = Playings(np.zeros_like(lasts), lasts, np.arange(len(lasts)))
    return np.diagonal(replace(gauge, since=0).added(lasts, each))
