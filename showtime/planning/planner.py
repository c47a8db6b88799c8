"""From a day to its plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from showtime.fair import Day, Performance, Plan
from showtime.fair.wishes import Level, Wish
from showtime.planning.choices import day_task
from showtime.planning.clash import Clash, smallest_clash
from showtime.planning.gauges import Ints, Pair
from showtime.planning.goals import Aim, aim, as_many_of
from showtime.planning.model import Model
from showtime.planning.moments import as_instant
from showtime.planning.rulebook import Rulebook, fixed_needs
from showtime.planning.search import settled
from showtime.planning.values import value

Clock = Callable[[], float]


def plan(day: Day, *, limit: float = 20.0, monotonic: Clock) -> Plan | Clash:
    """The best plan of a day: every rule kept, its wishes fulfilled level after level.

    `limit` is the time in seconds that may be spent; when it runs out the best plan so far is
    given, and its levels say that they are not proven. `monotonic` tells seconds that pass.
    A Clash when what is fixed, or a limit by itself, cannot be kept.
    """
    begun = monotonic()
    task = day_task(day)
    needs = fixed_needs(task)
    rulebook = Rulebook(task)
    standing = rulebook.standing(needs)
    model = Model(task.needing([(need.at, piece) for piece in need.pieces] for need in needs))

    def remaining() -> float:
        return begun + limit - monotonic()

    known = _anything(model, remaining) if standing is None else task.numbers(standing)
    if known is None:
        return smallest_clash(rulebook, needs)
    performances, levels = planned(model, known, (), (), remaining)
    return Plan(day, performances, levels, monotonic() - begun)


def _anything(model: Model, remaining: Clock) -> Ints | None:
    """Choices that keep every rule though those that are needed alone do not.

    That takes a piece that spends less than rest does, so that its sound mends what rest breaks.
    """
    if all(gauge.rates.plain for gauge in model.task.gauges):
        return None
    return settled(model, [as_many_of(())], remaining, None)[0]


def planned(
    model: Model, known: Ints, first: Sequence[Aim], prefer: Sequence[Pair], remaining: Clock
) -> tuple[tuple[Performance, ...], tuple[Level, ...]]:
    """What is best by the aims in `first` and then by the day's wishes, and the levels reached.

    `known` keeps every rule. When time runs out before even the first aim is settled, what was
    found is filled up without thinking ahead, first with what is preferred.
    """
    day = model.task.day
    aims = [*first, *(aim(wish) for wish in day.wishes.order)]
    best, proven = settled(model, aims, remaining, known)
    if not all(proven[:1]):
        best = _fuller(model, model.filled(best, model.task.numbers(prefer).tolist()))
    performances = model.task.performances(best)
    levels = tuple(
        Level(wish, value(day, wish, performances), sure)
        for wish, sure in zip(day.wishes.order, proven[len(first) :], strict=True)
    )
    return performances, levels


def _fuller(model: Model, chosen: Ints) -> Ints:
    """The choices with others added, the worthiest first; only if that pleases the wishes more."""
    task, wishes = model.task, model.task.day.wishes
    worth = [-wishes.worth(as_instant(task.day, int(start))) for start in task.choices.starts]
    fuller = model.filled(chosen, np.argsort(worth, kind="stable").tolist())

    def pleasing(which: Ints) -> list[float]:
        performances = task.performances(which)
        told = {wish: value(task.day, wish, performances) for wish in wishes.order}
        return [told[wish] * (-1 if wish is Wish.PERFORMANCES else 1) for wish in wishes.order]

    return min(fuller, chosen, key=pleasing)
