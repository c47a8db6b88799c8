"""Level after level: each proven best before the next begins, and never made worse by it.

A level is settled in two steps. Its relaxation tells what any plan with a given start or wait
costs at least. Then the whole problem is solved over what could be part of a very good plan: when
the plan found costs no more than all that was left out, it is proven best; else more is let in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import overload

import numpy as np

from showtime.planning.bounds import Bounds
from showtime.planning.gauges import Ints, Truths
from showtime.planning.goals import Aim
from showtime.planning.highs import Outcome, solve
from showtime.planning.model import Model, slack
from showtime.planning.programme import Goal
from showtime.planning.relaxing import relaxed

# The part of the time left for a try with only those rows that a relaxation ran against. What it
# has found by then may break others; a longer try gets all rows, so that what it finds counts.
PATIENCE = 0.25

Remaining = Callable[[], float]
Settled = tuple[Ints | None, bool]


@overload
def settled(
    model: Model, aims: Sequence[Aim], remaining: Remaining, known: Ints
) -> tuple[Ints, list[bool]]: ...
@overload
def settled(
    model: Model, aims: Sequence[Aim], remaining: Remaining, known: None
) -> tuple[Ints | None, list[bool]]: ...
def settled(
    model: Model, aims: Sequence[Aim], remaining: Remaining, known: Ints | None
) -> tuple[Ints | None, list[bool]]:
    """The best choices by the first aim, among those by the second, and so on.

    With them, per aim, whether that is proven; and where time ran out, the best so far. `known`
    keeps every rule. No choices: none are known or were found, or (proven) none exist.
    """
    best, proven = known, list[bool]()
    for aim in aims:
        best, sure = _level(model, aim(model.columns), best, remaining)
        proven.append(sure)
        if not sure:
            break
    return best, proven + [False] * (len(aims) - len(proven))


def _level(model: Model, goal: Goal, known: Ints | None, remaining: Remaining) -> Settled:
    low = relaxed(model, goal, known, remaining)
    if low is None:
        return known, False
    best, proven = _best(model, goal, low, known, remaining)
    if proven and best is not None:
        model.hold(goal, model.cost(goal, best), low.through)
    return best, proven


def _best(
    model: Model, goal: Goal, low: Bounds, known: Ints | None, remaining: Remaining
) -> Settled:
    """The best choices, `known` itself if there are none better, and whether that is proven."""
    reached = np.inf if known is None else model.cost(goal, known)
    beyond = _first_beyond(goal, low)
    patience = PATIENCE * remaining()
    while True:
        better = _better(goal, reached)
        if low.low > better:
            return known, True
        within = better if np.isinf(beyond) else min(low.low + beyond, better)
        seconds = min(patience, remaining())
        outcome = _solved(model, goal, low.through <= within, known, seconds)
        if outcome.values is not None:
            chosen = np.flatnonzero(outcome.values[: len(model.task.choices)] > 0.5)
            if model.breaks_a_rule(chosen):
                if outcome.proven or known is None:
                    continue
                chosen = model.repaired(chosen, known)
            if model.cost(goal, chosen) < reached:
                known, reached = chosen, model.cost(goal, chosen)
        if not (outcome.proven or outcome.impossible):
            if remaining() <= 0:
                return known, False
            patience = np.inf
            model.use_all_rows()
            continue
        if within >= _better(goal, reached):
            return known, True
        beyond = max(4 * beyond, goal.step, 0.02 * abs(low.low)) if outcome.impossible else np.inf


def _first_beyond(goal: Goal, low: Bounds) -> float:
    """How far beyond the lowest cost to look at first: often a plan costs no more than it must."""
    if not np.isfinite(low.low):
        return np.inf
    if not goal.step:
        return 0.02 * abs(low.low)
    least = np.ceil((low.low - slack(goal, low.low)) / goal.step) * goal.step
    return float(least - low.low + slack(goal, low.low))


def _better(goal: Goal, reached: float) -> float:
    """What a really better plan costs at most."""
    return (
        reached - goal.step + slack(goal, reached) if goal.step else reached - slack(goal, reached)
    )


def _solved(
    model: Model, goal: Goal, wanted: Truths, known: Ints | None, seconds: float
) -> Outcome:
    columns = model.columns
    kept = np.flatnonzero(model.alive & wanted)
    start = None
    if known is not None:
        point = columns.point(known)
        start = None if np.delete(point, kept).any() else point[kept]
    rows = model.rows().joined(columns.flow_rows.packed())
    programme = model.programme(goal, rows).within(kept)
    outcome = solve(programme, seconds=seconds, gap=0.999 * goal.step or 1e-7, start=start)
    return outcome.spread(kept, len(columns))
