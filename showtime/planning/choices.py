"""From a day, and what has happened of it, to the choices that are left."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from showtime.fair import Day, Performance, Piece
from showtime.planning.gauges import Pair, gauge
from showtime.planning.limits import beside_facts, in_quiet, within_hours
from showtime.planning.moments import grid_starts, since_opening
from showtime.planning.task import Task, playings


def day_task(
    day: Day,
    played: Sequence[Performance] = (),
    said: Sequence[Performance] = (),
    now: int | None = None,
) -> Task:
    """The task of a day: `played` has happened, the starts of `said` are known to the public."""
    pieces = _pieces(day, (*played, *said))
    said_starts = frozenset(since_opening(day, performance.starts) for performance in said)
    starts = said_starts.union(grid_starts(day))
    anything = {(start, number) for start in starts for number in range(len(day.pieces))}
    every = playings(anything.union(pairs(day, pieces, said)), pieces)
    facts = playings(pairs(day, pieces, played), pieces)
    most = day.wishes.most
    task = Task(
        day,
        pieces,
        tuple(gauge(budget, day, pieces) for budget in day.budgets),
        every,
        facts,
        most=None if most is None else max(most - len(facts), len(said_starts), 0),
        said=said_starts,
        begun=now is not None,
    )
    allowed = within_hours(task) & ~in_quiet(task, day.quiet) & beside_facts(task)
    if now is not None:
        allowed &= every.starts >= now
    return task.with_choices(every.taken(allowed))


def pairs(day: Day, pieces: Sequence[Piece], performances: Iterable[Performance]) -> list[Pair]:
    """Performances as starts since opening, each with the number of its piece."""
    return [
        (since_opening(day, performance.starts), pieces.index(performance.piece))
        for performance in performances
    ]


def _pieces(day: Day, performances: Iterable[Performance]) -> tuple[Piece, ...]:
    """The day's pieces, and others that were or will be played (one cut short, for instance)."""
    return tuple(dict.fromkeys([*day.pieces, *(one.piece for one in performances)]))
