"""From a day to its plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from showtime.fair import Day, Plan
from showtime.fair.wishes import Level
from showtime.planning.choices import day_task
from showtime.planning.clash import Clash, smallest_clash
from showtime.planning.gauges import Ints
from showtime.planning.goals import Aim, aim
from showtime.planning.greedy import filled
from showtime.planning.rulebook import Rulebook, fixed_needs
from showtime.planning.search import settled
from showtime.planning.task import Task
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
    if standing is None:
        return smallest_clash(rulebook, needs)
    task = task.needing([(need.at, piece) for piece in need.pieces] for need in needs)
    known = task.numbers(standing)
    return planned(task, known, (), lambda: monotonic() - begun, limit)


def planned(task: Task, known: Ints, first: Sequence[Aim], spent: Clock, limit: float) -> Plan:
    """The plan that is best by the aims in `first` and then by the day's wishes.

    `known` keeps every rule; when time runs out before anything better is found, it is filled up
    as far as that goes without thinking ahead.
    """
    day = task.day
    aims = [*first, *(aim(wish) for wish in day.wishes.order)]
    best, proven = settled(task, aims, lambda: limit - spent())
    chosen = filled(task, known) if best is None else best
    performances = task.performances(chosen)
    levels = tuple(
        Level(wish, value(day, wish, performances), sure)
        for wish, sure in zip(day.wishes.order, proven[len(first) :], strict=True)
    )
    return Plan(day, performances, levels, spent())
