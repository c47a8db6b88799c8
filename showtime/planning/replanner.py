"""A live day: what is left of it planned anew, promises first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from showtime.fair import Day, Performance, Plan
from showtime.planning.choices import day_task, pairs
from showtime.planning.goals import as_many_of
from showtime.planning.model import Model
from showtime.planning.moments import since_opening
from showtime.planning.planner import Clock, planned
from showtime.planning.promises import kept, promise_needs
from showtime.planning.rulebook import fixed_needs


def replan(
    day: Day,
    *,
    now: datetime,
    played: Sequence[Performance],
    promised: Sequence[Performance],
    monotonic: Clock,
    limit: float = 20.0,
    near: Sequence[Performance] = (),
) -> Plan:
    """The whole day's performances: those `played`, and the best from `now` on.

    What was played is a fact: it counts in every budget, whatever it broke, and what it broke is
    not made worse. Then come, each as far as those before it allow:

    1. the starts in `promised`, on the grid or not: as many as possible, of equally many the
       earliest, with the piece that was promised where that is possible;
    2. fixed performances still to come, in the same way;
    3. what `near` has in store from now on: as much of it as possible stays as it is;
    4. the wishes, in order, as when the day is planned.

    A promise or a fixed performance that is not in the plan could not be kept. Unlike a day that
    has not begun, this one always has a plan: at worst nothing more is performed.
    """
    begun = monotonic()
    moment = since_opening(day, now)
    promised = [one for one in promised if one.starts >= now]
    task = day_task(day, played, promised, moment)
    fixed = [need for need in fixed_needs(task) if need.at >= moment]

    def remaining() -> float:
        return begun + limit - monotonic()

    needs, standing = kept(task, promise_needs(task, promised), fixed, remaining)
    model = Model(task.needing([(need.at, piece) for piece in need.pieces] for need in needs))
    stay = pairs(day, task.pieces, [one for one in near if one.piece in task.pieces])
    first = [as_many_of(stay)] if stay else []
    if any(len(need.pieces) > 1 for need in needs):
        first.insert(0, as_many_of(pairs(day, task.pieces, promised)))
    known = task.numbers(standing)
    performances, levels = planned(model, known, first, stay, remaining)
    return Plan(day, performances, levels, monotonic() - begun)
