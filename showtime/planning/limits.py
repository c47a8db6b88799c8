"""Every rule of a valid plan as rows over the choices, and the exact check of what was chosen.

What has already happened stands on the right-hand side. Where it alone exceeds a limit it is a
fact: the limit is then where it stands, and nothing may be added.
"""

from __future__ import annotations

import numpy as np

from showtime.planning.gauges import HAIR, Floats, Gauge, Ints
from showtime.planning.highs import Rows
from showtime.planning.task import Task


def limit_rows(task: Task) -> Rows:
    """Rows that hold exactly for the sets of choices that keep every rule."""
    rows = Rows()
    _gaps(task, rows)
    for gauge in task.gauges:
        _budget(task, gauge, rows)
    _no_more_than(task, rows)
    for choices in task.needed:
        rows.add(choices, 1.0, lower=1.0, upper=1.0)
    return rows


def _gaps(task: Task, rows: Rows) -> None:
    """At no start is the stall engaged by more than one: choices are intervals on a line."""
    starts = task.choices.starts
    moments = np.unique(starts)
    engaged = (starts <= moments[:, None]) & (moments[:, None] < task.occupied)
    # A row whose intervals all last until the next moment is part of the next row.
    last = np.append((engaged[:-1] & ~engaged[1:]).any(axis=1), True)
    wanted = last & (engaged.sum(axis=1) > 1) if len(moments) else last[:0]
    rows.add_matrix(engaged[wanted].astype(np.float64), np.ones(int(wanted.sum())))


def room(task: Task, gauge: Gauge, moments: Ints) -> Floats:
    """What choices may add to the level at each moment, beside rest and facts."""
    stands = gauge.resting(moments) + gauge.added(moments, task.facts).sum(axis=1)
    limit = gauge.budget.limit
    return np.asarray(np.maximum(limit + HAIR * abs(limit) - stands, HAIR * abs(stands)))


def _budget(task: Task, gauge: Gauge, rows: Rows) -> None:
    moments = gauge.peaks(task.facts.joined(task.choices))
    added = gauge.added(moments, task.choices)
    allowed = room(task, gauge, moments)
    binding = added.clip(0).sum(axis=1) > allowed
    scale = np.maximum(allowed, abs(added).max(axis=1, initial=0.0) * 1e-3)[binding]
    rows.add_matrix(added[binding] / scale[:, None], allowed[binding] / scale)


def _no_more_than(task: Task, rows: Rows) -> None:
    most = task.day.wishes.most
    if most is not None and len(task.choices) > most - len(task.facts):
        every = np.arange(len(task.choices))
        rows.add(every, 1.0, upper=max(most - len(task.facts), 0))


def cuts(task: Task, chosen: Ints) -> Rows:
    """A row against each limit that `chosen` really exceeds; no rows when it keeps them all.

    The solver's arithmetic lets a level pass its limit by a hair. What is caught here is ruled
    out as a set: not all of the choices that make up the level may be chosen together.
    """
    rows = Rows()
    taken = task.choices.taken(chosen)
    for gauge in task.gauges:
        moments = gauge.peaks(task.facts.joined(taken))
        added = gauge.added(moments, taken)
        for over in np.flatnonzero(added.sum(axis=1) > room(task, gauge, moments)):
            guilty = chosen[added[over] > 0]
            rows.add(guilty, 1.0, upper=len(guilty) - 1.0)
    return rows
