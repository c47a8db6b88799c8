"""The rest of the hall, as a running day knows it: what it says, and what it is asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import Enum, auto
from typing import Protocol

from showtime.fair import QuietInterval, Span
from showtime.fair.budgets import Budget
from showtime.fair.hall import Handout
from showtime.live.state import DayState


@dataclass(frozen=True, slots=True)
class PlanHanded:
    """The organiser's joint plan, this stall's part of it. What was promised is kept first."""

    handout: Handout


@dataclass(frozen=True, slots=True)
class TimesTaken:
    """All times in which this stall must be silent because others sound; replaces the last such."""

    quiet: tuple[QuietInterval, ...]


@dataclass(frozen=True, slots=True)
class QuietCalled:
    """The organiser wants quiet in the hall; the same `call` again changes or repeats it."""

    call: str
    span: Span
    why: str


@dataclass(frozen=True, slots=True)
class QuietLifted:
    """That quiet is over, or was a mistake."""

    call: str


@dataclass(frozen=True, slots=True)
class CapsSet:
    """The caps that the organiser has set on the day; replaces the last such, beside the file's."""

    caps: tuple[Budget, ...]


HallWord = PlanHanded | TimesTaken | QuietCalled | QuietLifted | CapsSet


class Leave(Enum):
    """Whether a stall may sound in a span, as far as its neighbours go."""

    GIVEN = auto()
    ASKED = auto()
    REFUSED = auto()


class Hall(Protocol):
    """The line to the rest of the hall. Nothing here may block, or raise."""

    def listen(self, told: Callable[[HallWord], None]) -> None:
        """From now on tell this one, on any thread, what the hall says; what holds, at once."""

    def follow(self, state: DayState, now: datetime) -> None:
        """The day has changed, or time has passed: what is to come is what others are asked."""

    def leave(self, span: Span, now: datetime) -> Leave:
        """Whether this stall may sound in `span`, which begins about now. Without a line: GIVEN.

        GIVEN for what the last plan or a neighbour's leave allows, and REFUSED for what cuts into
        somebody else's; ASKED while an answer is awaited, which never takes long.
        """

    @property
    def trouble(self) -> str:
        """Why the hall is not reached, in a line for the keeper; empty when all is well."""

    def close(self) -> None: ...


class Alone:
    """A stall that has no line to the hall."""

    trouble = ""

    def listen(self, told: Callable[[HallWord], None]) -> None:
        """Nobody says anything."""

    def follow(self, state: DayState, now: datetime) -> None:
        """Nobody is asked."""

    def leave(self, span: Span, now: datetime) -> Leave:
        return Leave.GIVEN

    def close(self) -> None:
        """Nothing was taken that must be given back."""
