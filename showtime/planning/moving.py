"""The goal to leave a list of performances as it is, as far as what is needed allows."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from showtime.fair import Performance
from showtime.planning.choices import pairs
from showtime.planning.gauges import Floats, Ints
from showtime.planning.goals import Aim
from showtime.planning.moments import MINUTE, as_instant, since_opening
from showtime.planning.moves import moves
from showtime.planning.programme import Columns, Goal
from showtime.planning.task import Task

# Distances beyond this many units are told in minutes, so that their sums stay whole and small.
FARTHEST_IN_UNITS = 5_000


def as_near_as_possible(task: Task, before: Sequence[Performance]) -> Aim:
    """As many of `before` as possible stay; then as few as possible are left out; then short moves.

    Nothing is added but what is needed and was not there before.
    """
    number = {pair: choice for choice, pair in enumerate(task.choices.pairs())}
    old = pairs(task.day, task.pieces, before)
    needed = {choice for those in task.needed if len(those) == 1 for choice in those.tolist()}
    added = np.array(sorted(needed - {number.get(pair, -1) for pair in old}), dtype=np.int64)

    def goal(columns: Columns) -> Goal:
        free = np.isin(np.arange(len(task.choices)), added, invert=True)
        targets = [np.flatnonzero(free & (task.choices.piece == piece)) for _, piece in old]
        source = np.repeat(np.arange(len(old)), [len(to) for to in targets])
        target = np.concatenate([np.zeros(0, np.int64), *targets])
        begins = np.array([start for start, _ in old], dtype=np.int64)[source]
        goes = columns.more(len(source))
        for one in range(len(old)):
            columns.rows.add(goes[source == one], upper=1.0)
        for choice in np.flatnonzero(free):
            comes = goes[target == choice]
            factors = np.append(np.ones(len(comes)), -1.0)
            columns.rows.add(np.append(comes, choice), factors, lower=0.0, upper=0.0)
        columns.completed_by(goes, _gone(task, before, added, source, target))
        cost = _weights(np.abs(task.choices.starts[target] - begins), len(old))
        return Goal(columns.padded(cost, goes), 1.0)

    return goal


def _gone(
    task: Task, before: Sequence[Performance], added: Ints, source: Ints, target: Ints
) -> Callable[[Ints], Floats]:
    """Where each of `before` has gone when these are the choices."""

    def gone(chosen: Ints) -> Floats:
        taken = task.choices.taken(np.setdiff1d(chosen, added))
        after = [
            Performance(as_instant(task.day, start), task.pieces[piece])
            for start, piece in taken.pairs()
        ]
        went = {(move.piece, move.planned): move.to for move in moves(before, after)}
        places = [went.get((one.piece.name, one.starts), one.starts) for one in before]
        where = np.array([-1 if at is None else since_opening(task.day, at) for at in places])
        return np.asarray(task.choices.starts[target] == where[source], dtype=np.float64)

    return gone


def _weights(far: Ints, count: int) -> Floats:
    """Costs of going so far: that most stay counts most, then that few are left out."""
    unit = int(np.gcd.reduce(far)) or 1
    units = far // unit if far.max(initial=0) <= FARTHEST_IN_UNITS * unit else -(-far // MINUTE)
    left_out = count * int(units.max(initial=0)) + 1
    moved = count * left_out + 1
    return np.asarray(units - left_out - moved * (far == 0), dtype=np.float64)
