"""What is to be decided: which of the starts that could be are performed.

A choice is a piece at a start that no rule forbids on its own by the clock: it opens and closes in
time, lies on the grid, sounds in no quiet interval. All times are microseconds since opening.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from showtime.fair import Day, Performance, Piece
from showtime.planning.gauges import Gauge, Ints, Playings, gauge
from showtime.planning.moments import as_instant, grid_starts, since_opening, ticks


@dataclass(frozen=True)
class Task:
    """The choices of one day beside what has already happened.

    `facts` are in every plan. Of each of `needed`, a set of choices, one is in every plan.
    """

    day: Day
    pieces: tuple[Piece, ...]
    choices: Playings
    facts: Playings
    needed: tuple[Ints, ...] = ()

    @cached_property
    def gauges(self) -> tuple[Gauge, ...]:
        return tuple(gauge(budget, self.day, self.pieces) for budget in self.day.budgets)

    @cached_property
    def occupied(self) -> Ints:
        """Per choice: the moment from which another may start."""
        return self.choices.starts + _engages(self.day, self.pieces)[self.choices.piece]

    @property
    def closes(self) -> int:
        return ticks(self.day.hours.length)

    def performances(self, chosen: Ints) -> tuple[Performance, ...]:
        """The whole day's performances, in order."""
        whole = self.facts.joined(self.choices.taken(chosen))
        found = [
            Performance(as_instant(self.day, int(start)), self.pieces[piece])
            for start, piece in zip(whole.starts, whole.piece, strict=True)
        ]
        return tuple(sorted(found, key=lambda performance: performance.starts))


def playings(day: Day, performances: Sequence[tuple[int, int]], pieces: Sequence[Piece]) -> Playings:
    """Pairs of start and number of the piece, as arrays ordered by start."""
    ordered = sorted(performances)
    starts = np.array([start for start, _ in ordered], dtype=np.int64)
    piece = np.array([number for _, number in ordered], dtype=np.int64)
    lasts = np.array([ticks(one.lasts) for one in pieces], dtype=np.int64)
    return Playings(starts, starts + lasts[piece], piece)


def day_task(day: Day) -> Task:
    """The task of a day that has not begun."""
    grid = grid_starts(day)
    pairs = [(start, number) for start in grid for number in range(len(day.pieces))]
    every = playings(day, pairs, day.pieces)
    choices = every.taken(by_the_clock(day, every))
    return Task(
        day, day.pieces, choices, playings(day, [], day.pieces), fixed_choices(day, choices)
    )


def by_the_clock(day: Day, every: Playings) -> Ints:
    """Which of them lie within the open hours and sound in no quiet interval."""
    allowed = (every.starts >= 0) & (every.ends <= ticks(day.hours.length))
    for quiet in day.quiet:
        begins = since_opening(day, quiet.forbidden.start)
        ends = since_opening(day, quiet.forbidden.end)
        allowed &= (every.ends <= begins) | (every.starts >= ends)
    return np.flatnonzero(allowed)


def fixed_choices(day: Day, choices: Playings) -> tuple[Ints, ...]:
    """For each fixed performance, the choices that fulfil it."""
    found = []
    for fixed in day.wishes.fixed:
        there = choices.starts == since_opening(day, fixed.at)
        if fixed.piece is not None:
            there &= choices.piece == day.pieces.index(day.piece(fixed.piece))
        found.append(np.flatnonzero(there))
    return tuple(found)


def _engages(day: Day, pieces: Sequence[Piece]) -> Ints:
    """Per piece, how long after its start nothing else may start."""
    return np.array([ticks(piece.lasts + day.rest_after(piece)) for piece in pieces])
