"""Every rule of a valid plan, asked of some choices or put as rows over all of them.

What has already happened stands on the right-hand side. Where it alone exceeds a limit it is a
fact: the limit is then where it stands, and nothing may be added.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from showtime.fair import QuietInterval
from showtime.planning.gauges import HAIR, Floats, Gauge, Ints, LeakGauge, Playings, Truths
from showtime.planning.moments import since_opening
from showtime.planning.rows import PackedRows, Rows
from showtime.planning.sharper import leading, rounded
from showtime.planning.task import Task


def within_hours(task: Task) -> Truths:
    """Which choices lie between opening and closing."""
    return (task.choices.starts >= 0) & (task.choices.ends <= task.closes)


def in_quiet(task: Task, intervals: Iterable[QuietInterval]) -> Truths:
    """Which choices would sound in one of the quiet intervals."""
    found = np.zeros(len(task.choices), dtype=np.bool_)
    for quiet in intervals:
        begins = since_opening(task.day, quiet.forbidden.start)
        ends = since_opening(task.day, quiet.forbidden.end)
        found |= (task.choices.starts < ends) & (begins < task.choices.ends)
    return found


def beside_facts(task: Task) -> Truths:
    """Which choices keep the gap to all that has happened."""
    return np.asarray(~_too_near(task, task.facts).any(axis=1))


def overlapping(task: Task) -> bool:
    """Whether a choice and another, or a fact, do not keep the gap."""
    among = _too_near(task, task.choices)
    np.fill_diagonal(among, False)
    return bool(among.any() or not beside_facts(task).all())


def _too_near(task: Task, others: Playings) -> Truths:
    """Per choice (row) and other: whether one starts before the stall is free of the other."""
    starts, free = task.choices.starts[:, None], task.occupied[:, None]
    free_of_other = others.starts + task.engages[others.piece]
    return np.asarray((starts < free_of_other) & (others.starts < free))


def exceeded(task: Task, gauge: Gauge) -> bool:
    """Whether all the choices together exceed a budget, or make worse what exceeds it already."""
    moments = _moments(task, gauge, task.choices)
    spent = gauge.added(moments, task.choices).sum(axis=1)
    return bool((spent > _room(task, gauge, moments)).any())


def _moments(task: Task, gauge: Gauge, choices: Playings) -> Ints:
    """Where the level peaks, and where facts that exceed the limit begin and cease to."""
    peaks = gauge.peaks(task.facts.joined(choices))
    if not task.begun:
        return peaks
    return np.unique(np.concatenate([peaks, _crossings(task, gauge)]))


def _crossings(task: Task, gauge: Gauge) -> Ints:
    """The moments at which the level of facts and rest passes the limit, to the microsecond."""
    bends = gauge.bends(task.facts)
    low, high = bends[:-1].copy(), bends[1:].copy()
    limit = gauge.budget.limit
    before = _stands(task, gauge, low) > limit
    passing = before != (_stands(task, gauge, high) > limit)
    low, high, before = low[passing], high[passing], before[passing]
    while (high - low > 1).any():
        middle = (low + high) // 2
        same = (_stands(task, gauge, middle) > limit) == before
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return np.concatenate([low, high])


def _stands(task: Task, gauge: Gauge, moments: Ints) -> Floats:
    return np.asarray(gauge.resting(moments) + gauge.added(moments, task.facts).sum(axis=1))


def _room(task: Task, gauge: Gauge, moments: Ints) -> Floats:
    """What choices may add to the level at each moment, beside rest and facts."""
    stands = _stands(task, gauge, moments)
    limit = gauge.budget.limit
    room = limit + HAIR * abs(limit) - stands
    return np.asarray(np.maximum(room, HAIR * abs(stands)) if task.begun else room)


@dataclass(frozen=True)
class Limits:
    """The rules as rows that hold exactly for the sets of choices that keep them all.

    `always` are few. Of `often` there is a row for every moment; most are idle in any one plan.
    `barred` choices cannot be made beside those that are needed.
    """

    always: PackedRows
    often: PackedRows
    barred: Truths


def limits(task: Task) -> Limits:
    always, often = Rows(), Rows()
    certain = np.unique([those[0] for those in task.needed if len(those) == 1]).astype(np.int64)
    barred = np.asarray(_too_near(task, task.choices.taken(certain)).any(axis=1))
    _gaps(task, always)
    for gauge in task.gauges:
        barred |= _budget(task, gauge, certain, always, often)
    barred[certain] = False
    if task.most is not None and len(task.choices) > task.most:
        always.add(np.arange(len(task.choices)), 1.0, upper=task.most)
    for choices in task.needed:
        always.add(choices, 1.0, lower=1.0, upper=1.0)
    return Limits(always.packed(), often.packed(), barred)


def _gaps(task: Task, rows: Rows) -> None:
    """At no start is the stall engaged by more than one: choices are intervals on a line."""
    starts = task.choices.starts
    moments = np.unique(starts)
    engaged = (starts <= moments[:, None]) & (moments[:, None] < task.occupied)
    # A row whose intervals all last until the next moment is part of the next row.
    last = np.append((engaged[:-1] & ~engaged[1:]).any(axis=1), True)[: len(moments)]
    wanted = last & (engaged.sum(axis=1) > 1)
    rows.add_matrix(engaged[wanted].astype(np.float64), np.ones(int(wanted.sum())))


def _budget(task: Task, gauge: Gauge, certain: Ints, always: Rows, often: Rows) -> Truths:
    """Adds the budget's rows; which choices do not fit it beside those that are certain."""
    moments = _moments(task, gauge, task.choices)
    added = gauge.added(moments, task.choices)
    allowed = _room(task, gauge, moments)
    binding = added.clip(0).sum(axis=1) > allowed
    added, allowed = added[binding], allowed[binding]
    scale = np.maximum(abs(allowed), abs(added).max(axis=1, initial=0.0) / 1000)
    scale[scale == 0] = 1.0
    rows = always if len(moments) == 1 else often
    rows.add_matrix(added / scale[:, None], allowed / scale)
    if not added.size or (added < 0).any():
        return np.zeros(len(task.choices), dtype=np.bool_)
    if isinstance(gauge, LeakGauge):
        leading(task, gauge, lambda moments: _room(task, gauge, moments), rows)
    else:
        rounded(task, added, allowed, rows)
    left = allowed - added[:, certain].sum(axis=1)
    return np.asarray((added > left[:, None]).any(axis=0))


def cuts(task: Task, chosen: Ints) -> Rows:
    """A row against each limit that `chosen` really exceeds; no rows when it keeps them all.

    The solver's arithmetic lets a level pass its limit by a hair. What is caught here is ruled
    out as a set: not all of the choices that make up the level may be chosen together.
    """
    rows = Rows()
    taken = task.choices.taken(chosen)
    for gauge in task.gauges:
        moments = _moments(task, gauge, taken)
        added = gauge.added(moments, taken)
        for over in np.flatnonzero(added.sum(axis=1) > _room(task, gauge, moments)):
            guilty = chosen[added[over] > 0]
            rows.add(guilty, 1.0, upper=len(guilty) - 1.0)
    return rows
