"""From a whole fair's day to its joint plan."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from showtime.fair.hall import HallDay, HallPlan
from showtime.planning.gauges import Floats, Ints
from showtime.planning.goals import whole
from showtime.planning.hall.alone import alone
from showtime.planning.hall.clashing import HallClash, must_be
from showtime.planning.hall.evening import evened
from showtime.planning.hall.joint import Joint, joint
from showtime.planning.hall.leisure import leisurely
from showtime.planning.hall.rota import best_rota, taken_in_turn
from showtime.planning.hall.search import Search
from showtime.planning.hall.sharing import as_it_ended, share_out
from showtime.planning.hall.worthy import most_worth, worth_as_it_ended

Clock = Callable[[], float]
THOUSANDTHS = 1000
ALWAYS = 2.0
"""Seconds that each stall is given by itself, even when there is no time."""


def _silent(line: str) -> None:
    """What is told goes nowhere."""


def plan_hall(
    hall: HallDay,
    *,
    limit: float = 60.0,
    monotonic: Clock,
    workers: int = 1,
    told: Callable[[str], None] = _silent,
) -> HallPlan | HallClash:
    """The best plan of all stalls together: every rule kept, level after level.

    1. `smallest_share`: the share of the stall that has the smallest share of what it could have
       alone is as large as can be.
    2. `next_shares`: how many stalls have more than that; as many as can be. (Where all have all
       that they could have alone, that is none.)
    3. `worth`: the stalls' performances are worth as much as can be, in sum.
    4. `wait`: the sum of the stalls' mean waits, in minutes, is as small as can be.
    5. `round_times`: the sum of the ranks of all starts is as small as can be.

    Last, at the same starts, each stall that wishes so plays its pieces as evenly as there is room.
    No level makes one before it worse. Each level's `bound` is proven: no plan that is as good on
    the levels before it (as they were reached, proven or not) passes it.

    `limit` is the time in seconds that may be spent, `monotonic` tells seconds that pass;
    `workers` threads search. When time runs out the best plan so far is given, with its bounds;
    what each stall could have alone is found out all the same (some hundredths of a second each).
    `told` hears how it goes, line by line. A HallClash when what is fixed, or a limit by itself,
    cannot be kept.
    """
    begun = monotonic()

    def remaining() -> float:
        return begun + limit - monotonic()

    stands = joint(hall)
    fixed = must_be(stands, lambda: max(remaining(), ALWAYS))
    if isinstance(fixed, HallClash):
        return fixed
    search, unit = _search(stands, fixed, remaining, max(1, workers), told)
    shares, worth, leisure = share_out(search), most_worth(search, unit), leisurely(search)
    levels = [*as_it_ended(search, shares), worth_as_it_ended(search, worth, unit), *leisure]
    # Every step has kept the rules by its own arithmetic; nothing leaves here unjudged as a whole.
    if not stands.keeps_every_rule(search.chosen):
        raise ArithmeticError("a joint plan was found that breaks a rule")
    given = evened(hall, stands.performances(search.chosen), remaining, max(1, workers))
    counts = tuple(search.alone.counts.tolist())
    return HallPlan(hall, given, counts, tuple(levels), monotonic() - begun)


def _search(
    stands: Joint, fixed: Ints, remaining: Clock, workers: int, told: Callable[[str], None]
) -> tuple[Search, float]:
    """A search that has a first plan, and what a step of worth is."""
    cost, step = whole(stands.worth)
    worth = cost if step else np.rint(stands.worth * THOUSANDTHS)
    unit = _unit(stands, cost) if step else 1.0 / THOUSANDTHS
    own = alone(stands, worth, lambda: max(remaining(), ALWAYS), workers)
    rota = best_rota(stands, worth, fixed)
    first = taken_in_turn(stands, rota, worth, fixed, remaining)
    told(f"a first plan of {len(first)} performances, of {own.counts.sum()} if each were alone")
    return Search(stands, own, worth, first, remaining, workers, told), unit


def _unit(stands: Joint, scaled: Floats) -> float:
    there = np.flatnonzero(scaled)
    return float(stands.worth[there[0]] / scaled[there[0]]) if len(there) else 1.0
