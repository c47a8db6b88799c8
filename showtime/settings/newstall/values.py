"""What six answers come to: the beginnings of a stall's settings.

ShowtimeError
└── AnswerError
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from showtime.fair import ShowtimeError


class AnswerError(ShowtimeError):
    """An answer that means nothing; the words say what is wrong with it and what would be right."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the questions know of the machine that they are asked on.

    `now` is aware; `languages` are the codes of all phrase banks with the names that people use for
    them, the usual one first; `zones` all names of time zones. The first `language` and `zone` are
    guesses.
    """

    now: datetime
    language: str
    zone: str
    languages: Mapping[str, tuple[str, ...]]
    zones: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Names:
    """The stall's name and its fair's; the latter is empty when it was not told."""

    stall: str
    fair: str = ""


@dataclass(frozen=True, slots=True)
class Speech:
    """The languages of a figure, the first its usual one, and the time zone of its stall."""

    languages: tuple[str, ...]
    zone: str


@dataclass(frozen=True, slots=True)
class Hours:
    """From when to when, as times since midnight; an end that is not after the start is on the
    next day."""

    opens: timedelta
    closes: timedelta


@dataclass(frozen=True, slots=True)
class OpenOn:
    """A day with its hours."""

    date: date
    hours: Hours


@dataclass(frozen=True, slots=True)
class NewPiece:
    """What the figure performs, and how long that lasts."""

    name: str
    lasts: timedelta


@dataclass(frozen=True, slots=True)
class QuietTime:
    """When nothing may sound, and why, in words for visitors.

    `every`: how soon it comes again, if it does. `days`: those it is for; none: all.
    """

    why: str
    hours: Hours
    every: timedelta | None = None
    days: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class NewStall:
    """All of it together."""

    names: Names
    figure: str
    speech: Speech
    days: tuple[OpenOn, ...]
    pieces: tuple[NewPiece, ...]
    quiet: tuple[QuietTime, ...]
