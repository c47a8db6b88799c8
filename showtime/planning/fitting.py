"""What would have to move for one more performance to find its place."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from showtime.fair import Day, Performance, Plan
from showtime.planning.choices import day_task, pairs
from showtime.planning.clash import Clash, ClashingRule, smallest_clash
from showtime.planning.model import Model
from showtime.planning.moments import since_opening
from showtime.planning.moving import as_near_as_possible
from showtime.planning.planner import Clock
from showtime.planning.promises import promise_needs
from showtime.planning.rulebook import Need, Rulebook, fixed_needs
from showtime.planning.search import settled
from showtime.planning.wallclock import clock


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
    before `now` is a fact. The plan tells no levels. When time runs out, more may be left
    out than need be.

    A Clash when `wanted` (the rule named "wanted") cannot be, whatever else is moved.
    """
    begun = monotonic()
    moment = None if now is None else since_opening(day, now)
    promised = [one for one in promised if now is None or one.starts >= now]
    task = day_task(day, played, promised, moment)
    told = f"{wanted.piece.name} at {clock(day, wanted.starts)}"
    names = [piece.name for piece in day.pieces]
    at = since_opening(day, wanted.starts)
    asked = Need(ClashingRule("wanted", told), at, (names.index(wanted.piece.name),))
    if now is not None and wanted.starts < now:
        past = ClashingRule("now", f"it is {clock(day, now)} already")
        return Clash((past, asked.told))
    needs = [asked, *promise_needs(task, promised), *fixed_needs(task)]
    needs = [need for need in needs if moment is None or need.at >= moment]
    rulebook = Rulebook(task)
    standing = rulebook.standing(needs)
    if standing is None:
        return smallest_clash(rulebook, needs)
    model = Model(task.needing([(need.at, piece) for piece in need.pieces] for need in needs))
    others = [one for one in near if one != wanted and (now is None or one.starts >= now)]
    aim = as_near_as_possible(model.task, others)
    known = task.numbers(standing)
    best, proven = settled(model, [aim], lambda: begun + limit - monotonic(), known)
    if not all(proven):
        best = model.filled(best, task.numbers(pairs(day, task.pieces, others)).tolist())
    return Plan(day, task.performances(best), (), monotonic() - begun)
