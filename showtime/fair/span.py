"""Instants, spans between them, and the places in files that values come from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta


def instant(moment: datetime) -> datetime:
    """The same moment in UTC, in which all arithmetic is done.

    Differences between two local times of one zone are wall-clock differences in Python and so
    wrong on the nights when clocks change; differences in UTC are elapsed time.
    Raises ValueError for a moment that does not know its zone.
    """
    if moment.utcoffset() is None:
        raise ValueError(f"{moment} does not say which zone it is in")
    return moment.astimezone(UTC)


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A half-open stretch of real time [start, end); it is never empty and is kept in UTC."""

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        object.__setattr__(self, "start", instant(self.start))
        object.__setattr__(self, "end", instant(self.end))
        if self.end <= self.start:
            raise ValueError(f"a span must end after it starts, not {self.start} to {self.end}")

    @property
    def length(self) -> timedelta:
        return self.end - self.start

    def holds(self, moment: datetime) -> bool:
        return self.start <= moment < self.end

    def meets(self, other: Span) -> bool:
        """True when the two share some time; touching ends do not count."""
        return self.start < other.end and other.start < self.end

    def widened(self, by: timedelta) -> Span:
        return Span(self.start - by, self.end + by) if by else self


@dataclass(frozen=True, slots=True, order=True)
class Where:
    """The place in a file that a value was read from, counted from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"
