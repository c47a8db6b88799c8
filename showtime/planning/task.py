"""What is to be decided: which of the starts that could be are performed.

A choice is a piece at a start that the clock alone does not forbid: it opens and closes in time,
lies on the grid, sounds in no quiet interval. All times are microseconds since opening.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from showtime.fair import Day, Performance, Piece
from showtime.planning.gauges import Gauge, Ints, Pair, Playings
from showtime.planning.moments import as_instant, ticks


@dataclass(frozen=True)
class Task:
    """The choices of one day beside what has already happened.

    `facts` are in every plan. Of each of `needed`, a set of choices, one is in every plan. No
    more than `most` choices are made. Starts in `said` need not lie on the grid. When the day
    has `begun`, what exceeds a limit by itself is not judged, but must not get worse.
    """

    day: Day
    pieces: tuple[Piece, ...]
    gauges: tuple[Gauge, ...]
    choices: Playings
    facts: Playings
    needed: tuple[Ints, ...] = ()
    most: int | None = None
    said: frozenset[int] = frozenset()
    begun: bool = False

    @cached_property
    def engages(self) -> Ints:
        """Per number of a piece: how long after its start nothing else may start."""
        day = self.day
        return np.array([ticks(piece.lasts + day.rest_after(piece)) for piece in self.pieces])

    @cached_property
    def occupied(self) -> Ints:
        """Per choice: the moment from which another may start."""
        return self.choices.starts + self.engages[self.choices.piece]

    @property
    def closes(self) -> int:
        return ticks(self.day.hours.length)

    def with_choices(self, choices: Playings) -> Task:
        """The same with other choices, none of them needed."""
        return replace(self, choices=choices, needed=())

    def needing(self, needed: Iterable[Iterable[Pair]]) -> Task:
        """The same, of each set of pairs one being needed."""
        return replace(self, needed=tuple(self.numbers(pairs) for pairs in needed))

    def numbers(self, pairs: Iterable[Pair]) -> Ints:
        """Which choices these are, as far as they are choices."""
        number = {pair: at for at, pair in enumerate(self.choices.pairs())}
        return np.array([number[pair] for pair in pairs if pair in number], dtype=np.int64)

    def performances(self, chosen: Ints) -> tuple[Performance, ...]:
        """The whole day's performances, in order."""
        whole = self.facts.joined(self.choices.taken(chosen))
        found = [
            Performance(as_instant(self.day, start), self.pieces[piece])
            for start, piece in whole.pairs()
        ]
        return tuple(sorted(found, key=lambda performance: performance.starts))


def playings(pairs: Iterable[Pair], pieces: Sequence[Piece]) -> Playings:
    """Pairs as arrays, in order of start, each once."""
    ordered = sorted(set(pairs))
    starts = np.array([start for start, _ in ordered], dtype=np.int64)
    piece = np.array([number for _, number in ordered], dtype=np.int64)
    lasts = np.array([ticks(one.lasts) for one in pieces], dtype=np.int64)
    return Playings(starts, starts + lasts[piece], piece)
