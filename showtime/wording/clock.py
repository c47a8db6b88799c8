"""What a language's small class must offer, and the list of those there are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum
from typing import Protocol

from showtime.fair import instant
from showtime.wording.errors import UnknownLanguageError

HALF_DAY = 12 * 60
WHOLE_DAY = 24 * 60
FEW_MINUTES = 60
"""Minutes to go are told only when they are fewer than this."""


LANGUAGES = ("en",)
"""The languages that have a clock, by their ISO 639 codes."""


class Counted(IntEnum):
    """What the minutes of a time that was told are counted from."""

    FROM_NOW = 0
    IN_HALF_A_DAY = HALF_DAY
    IN_A_DAY = WHOLE_DAY


@dataclass(frozen=True, slots=True)
class Told:
    """A time that a sentence tells.

    `minutes` after midnight; after midnight or noon when the sentence leaves the half of the day
    open; or from the moment of speaking, rounded, with 0 for less than one.
    """

    minutes: int
    counted: Counted

    def means(self, at: datetime, now: datetime) -> bool:
        """True when somebody who hears it at `now` expects `at`. `at` is a local time."""
        if self.counted is Counted.FROM_NOW:
            return self.minutes == minutes_to_go(at, now)
        return (at.hour * 60 + at.minute - self.minutes) % self.counted == 0


def minutes_to_go(at: datetime, now: datetime) -> int | None:
    """Minutes from `now` until `at` as they are told: 0 for less than one, else the nearest.

    A start up to a minute ago is still told as the coming one. None when they are not few.
    """
    seconds = (instant(at) - instant(now)).total_seconds()
    minutes = int(seconds // 60 + (seconds % 60 >= 30)) if seconds >= 60 else 0
    return minutes if seconds > -60 and minutes < FEW_MINUTES else None


class Clock(Protocol):
    """How one language tells the time.

    To add a language, write one beside `english.py`, with a reader of its own, and name it in
    LANGUAGES and in `clock`.
    """

    @property
    def language(self) -> str:
        """Its ISO 639 code."""
        ...

    @property
    def manners(self) -> tuple[str, ...]:
        """The ways of telling the time that a bank may choose among with `clock:`."""
        ...

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        """Every way to tell that time of day, the most usual first."""
        ...

    def minutes(self, to_go: int) -> tuple[str, ...]:
        """Ways to say that many minutes (0: less than one), fit to follow "in" or the like."""
        ...

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        """Words for the CLDR day period of `at`; none at noon and midnight, which name it."""
        ...

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        """Words for the date of `at`, as told at `now`."""
        ...

    def told(self, text: str) -> tuple[Told, ...]:
        """The times that a listener hears in `text`, in order."""
        ...


def clock(language: str, manners: tuple[str, ...] = ()) -> Clock:
    """The clock of a language, in the given manners of telling the time (none: in all).

    Raises UnknownLanguageError, also for a manner that the language does not have.
    """
    if language == "en":
        from showtime.wording.english import English

        return English(manners)
    raise UnknownLanguageError(
        f"no clock speaks {language!r}; there is one for: {', '.join(LANGUAGES)}"
    )


def times_told(text: str, language: str) -> tuple[Told, ...]:
    """The times that a listener hears in `text`, in order. Raises UnknownLanguageError."""
    return clock(language).told(text)
