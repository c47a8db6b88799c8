"""What a language's small class must offer, and the list of those there are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum
from importlib import import_module
from typing import Protocol

from showtime.fair import instant
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.languages import LANGUAGES

HALF_DAY = 12 * 60
WHOLE_DAY = 24 * 60
FEW_MINUTES = 60
"""Minutes to go are told only when they are fewer than this."""


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
    """How one language tells the time: the words for the built-in rules that speak of it.

    To add a language, write one in `languages/`, with a reader of its own, named in LANGUAGES.
    """

    def __init__(self, manners: tuple[str, ...] = ()) -> None: ...

    @property
    def language(self) -> str:
        """Its ISO 639 code."""
        ...

    @property
    def manners(self) -> tuple[str, ...]:
        """The ways of telling the time that a bank may choose among with `clock:`."""
        ...

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        """`<time>`: every way to name that time of day, the most usual first: "half past two"."""
        ...

    def at(self, hour: int, minute: int) -> tuple[str, ...]:
        """`<at_time>`: the same with the words that say when something happens, as its grammar
        wants them: "at half past two"."""
        ...

    def it_is(self, hour: int, minute: int) -> tuple[str, ...]:
        """`<it_is_time>`: the same as what a clock shows then: "it is half past two"."""
        ...

    def minutes(self, to_go: int) -> tuple[str, ...]:
        """`<minutes>`: that many minutes (0: less than one) as a subject: "two minutes"."""
        ...

    def within(self, to_go: int) -> tuple[str, ...]:
        """`<in_minutes>`: the same as the time until something happens: "in two minutes"."""
        ...

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        """`<daypart>`: the CLDR day period of `at`; none at noon and midnight, which name it."""
        ...

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        """`<day>`: the date of `at`, as told at `now`: "tomorrow", "on Sunday"."""
        ...

    def told(self, text: str) -> tuple[Told, ...]:
        """The times that a listener hears in `text`, in order."""
        ...


def clock(language: str, manners: tuple[str, ...] = ()) -> Clock:
    """The clock of a language, in the given manners of telling the time (none: its usual ones).

    Raises UnknownLanguageError, also for a manner that the language does not have.
    """
    if language not in LANGUAGES:
        raise UnknownLanguageError(
            f"no clock speaks {language!r}; there is one for: {', '.join(LANGUAGES)}"
        )
    module, _, name = LANGUAGES[language].partition(".")
    tells: type[Clock] = getattr(import_module(f"showtime.wording.languages.{module}"), name)
    return tells(manners)


def times_told(text: str, language: str) -> tuple[Told, ...]:
    """The times that a listener hears in `text`, in order. Raises UnknownLanguageError."""
    return clock(language).told(text)
