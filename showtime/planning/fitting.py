"""What would have to move for one more performance to find its place."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import numpy as np

from showtime.fair import Day, Performance, Plan
from showtime.planning.choices import day_task, pairs
from showtime.planning.clash import Clash, smallest_clash
from showtime.planning.gauges import Floats, Ints, Pair
from showtime.planning.goals import Aim
from showtime.planning.moments import MINUTE, since_opening
from showtime.planning.planner import Clock
from showtime.planning.programme import Columns, Goal
from showtime.planning.promises import promise_needs
from showtime.planning.rulebook import ClashingRule, Need, Rulebook, fixed_needs
from showtime.planning.search import settled
from showtime.planning.wallclock import clock

# Distances beyond this many units are told in minutes, so that their sums stay whole and small.
FARTHEST_IN_UNITS = 5_000


def fit(
    day: Day,
    wanted: Performance,
    near: Sequence[Performance],
    *,
    monotonic: Clock,
    limit: float = 20.0,
    now: datetime | None = None,
    played: Sequence[Performance] = (),
    promised: Sequence[Performance] = (),
) -> Plan | Clash:
    """A plan with `wanted` in it that is otherwise as near to `near` as the rules allow.

    As many of the other performances as possible stay as they are; of the rest as many as
    possible are moved rather than left out; and the moves are the shortest in sum. Nothing is
    added, no piece changed. What is fixed or `promised` stays where it is; what was `played`
    before `now` is a fact. The plan tells no levels.

    A Clash when `wanted` (the rule named "wanted") cannot be, whatever else is moved.
    """
    begun = monotonic()
    moment = None if now is None else since_opening(day, now)
    task = day_task(day, played, promised, moment)
    told = f"{wanted.piece.name} at {clock(day, wanted.starts)}"
    at = since_opening(day, wanted.starts)
    asked = Need(ClashingRule("wanted", told), at, (day.pieces.index(wanted.piece),))
    if now is not None and wanted.starts < now:
        past = ClashingRule("now", f"it is {clock(day, now)} already")
        return Clash((past, asked.told))
    needs = [asked, *promise_needs(task, promised), *fixed_needs(task)]
    needs = [need for need in needs if moment is None or need.at >= moment]
    rulebook = Rulebook(task)
    standing = rulebook.standing(needs)
    if standing is None:
        return smallest_clash(rulebook, needs)
    task = task.needing([(need.at, piece) for piece in need.pieces] for need in needs)
    old = {pair for pair in pairs(day, task.pieces, near) if moment is None or pair[0] >= moment}
    new = (at, asked.pieces[0])
    known = task.numbers(standing)
    best, _ = settled(
        task, [_moves(sorted(old - {new}))], lambda: begun + limit - monotonic(), known
    )
    chosen = known if best is None else best
    return Plan(day, task.performances(chosen), (), monotonic() - begun)


def _moves(old: Sequence[Pair]) -> Aim:
    """Each of `old` may go to one choice of its piece; staying is best, leaving out is worst."""

    def goal(columns: Columns) -> Goal:
        task = columns.task
        starts, piece = task.choices.starts, task.choices.piece
        rows = [np.flatnonzero(piece == number) for _, number in old]
        source = np.repeat(np.arange(len(old)), [len(to) for to in rows])
        target = np.concatenate([np.zeros(0, np.int64), *rows])
        far = np.abs(starts[target] - np.array([start for start, _ in old], dtype=np.int64)[source])
        goes = columns.more(len(source))
        for one in range(len(old)):
            columns.rows.add(goes[source == one], upper=1.0)
        for choice in range(len(task.choices)):
            here = np.append(goes[target == choice], choice)
            factors = np.append(np.ones(len(here) - 1), -1.0)
            needed = any(choice in those for those in task.needed)
            columns.rows.add(here, factors, lower=-1.0 if needed else 0.0, upper=0.0)
        return Goal(columns.padded(_weights(far, len(old)), goes), 1.0)

    return goal


def _weights(far: Ints, count: int) -> Floats:
    """Costs of going so far: of all moves in sum the fewest count most, then the shortest."""
    unit = int(np.gcd.reduce(far)) or 1
    units = far // unit if far.max(initial=0) <= FARTHEST_IN_UNITS * unit else -(-far // MINUTE)
    left_out = count * int(units.max(initial=0)) + 1
    moved = count * left_out + 1
    return np.asarray(units - left_out - moved * (far == 0), dtype=np.float64)
