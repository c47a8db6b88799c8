"""What the keeper would like, as far as the limits allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from showtime.fair.span import Span, Where


class Wish(StrEnum):
    """The levels that a plan can be improved by, each proven before the next begins."""

    PERFORMANCES = "performances"
    WAIT = "wait"
    ROUND_TIMES = "round_times"
    EVEN_PIECES = "even_pieces"


@dataclass(frozen=True, slots=True)
class Busy:
    """A span in which a performance is worth more than one."""

    span: Span
    worth: float


@dataclass(frozen=True, slots=True)
class Fixed:
    """A performance that must be in the plan. `piece` None leaves the choice of piece free."""

    at: datetime
    piece: str | None = None
    why: str = ""
    where: Where | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Wishes:
    """The keeper's wishes for one day, in the order that they count."""

    order: tuple[Wish, ...] = tuple(Wish)
    most: int | None = None
    most_where: Where | None = field(default=None, compare=False)
    start_on: timedelta = timedelta(minutes=5)
    prefer_minutes: tuple[int, ...] = ()
    busy: tuple[Busy, ...] = ()
    fixed: tuple[Fixed, ...] = ()

    def worth(self, start: datetime) -> float:
        """What a performance that starts at `start` counts: 1, or its busy span's worth."""
        return next((busy.worth for busy in self.busy if busy.span.holds(start)), 1.0)

    def rank(self, minute: int) -> int:
        """How far a start on `minute` of the hour is from what is preferred; 0 is best."""
        try:
            return self.prefer_minutes.index(minute)
        except ValueError:
            return len(self.prefer_minutes)


@dataclass(frozen=True, slots=True)
class Level:
    """One wish as the plan fulfils it; `proven` when nothing better is allowed."""

    name: Wish
    value: float
    proven: bool


def waits(open_hours: Span, starts: Sequence[datetime]) -> list[timedelta]:
    """The stretches a visitor may wait in: opening to first start, ..., last start to closing."""
    marks = [open_hours.start, *sorted(starts), open_hours.end]
    return [after - before for before, after in zip(marks, marks[1:], strict=False)]


def mean_wait(open_hours: Span, starts: Sequence[datetime]) -> timedelta:
    """The mean wait of a visitor who arrives at any moment of the open hours.

    Sum of g^2 / (2 * open time), the random-arrival wait E[g^2] / (2 E[g]) of Osuna and Newell,
    Transportation Science 6 (1972).
    """
    squares = sum(gap.total_seconds() ** 2 for gap in waits(open_hours, starts))
    return timedelta(seconds=squares / (2 * open_hours.length.total_seconds()))
