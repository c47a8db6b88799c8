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
        """From now on tell this one, on any thread, what the hall says; what holds, at once.

        It is told while nothing is held that `follow` or `leave` wait for: the day calls those two
        under its own lock, and takes that lock to hear a word.
        """

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


class HandedOut:
    """A hall in which the day's plan was handed out by hand before anything else was said."""

    def __init__(self, handout: Handout, hall: Hall) -> None:
        self._handout = handout
        self._hall = hall

    def listen(self, told: Callable[[HallWord], None]) -> None:
        told(PlanHanded(self._handout))
        self._hall.listen(told)

    def follow(self, state: DayState, now: datetime) -> None:
        self._hall.follow(state, now)

    def leave(self, span: Span, now: datetime) -> Leave:
        return self._hall.leave(span, now)

    @property
    def trouble(self) -> str:
        return self._hall.trouble

    def close(self) -> None:
        self._hall.close()


class PretendedHall:
    """A hall to try a day in: it says and grants what it is told to, and remembers what it saw.

    While it is silent nothing arrives, as when a cable is pulled; what holds is told afterwards.
    """

    def __init__(self) -> None:
        self.trouble = ""
        self.asked: list[Span] = []
        self.seen: DayState | None = None
        self._told: Callable[[HallWord], None] | None = None
        self._holds: dict[str, HallWord] = {}
        self._leave = Leave.GIVEN

    def listen(self, told: Callable[[HallWord], None]) -> None:
        self._told = told
        self._tell_again()

    def follow(self, state: DayState, now: datetime) -> None:
        self.seen = state

    def leave(self, span: Span, now: datetime) -> Leave:
        if self.trouble:
            return Leave.GIVEN
        self.asked.append(span)
        return self._leave

    def close(self) -> None:
        self._told = None

    def hand_plan(self, handout: Handout) -> None:
        """The organiser publishes a plan."""
        self._say("plan", PlanHanded(handout))

    def take_times(self, *quiet: QuietInterval) -> None:
        """Others sound then, and at no other time."""
        self._say("times", TimesTaken(quiet))

    def call_quiet(self, call: str, span: Span, why: str) -> None:
        self._say(f"call {call}", QuietCalled(call, span, why))

    def lift_quiet(self, call: str) -> None:
        self._say(f"call {call}", QuietLifted(call))

    def set_caps(self, *caps: Budget) -> None:
        self._say("caps", CapsSet(caps))

    def repeat(self) -> None:
        """All that holds is told once more, as a doubled message is."""
        self._tell_again()

    def refuse(self) -> None:
        """From now on nobody gives leave."""
        self._leave = Leave.REFUSED

    def keep_waiting(self) -> None:
        """From now on no answer comes."""
        self._leave = Leave.ASKED

    def give(self) -> None:
        """From now on everybody gives leave."""
        self._leave = Leave.GIVEN

    def go_silent(self, why: str = "the hall is not reached") -> None:
        self.trouble = why

    def come_back(self) -> None:
        self.trouble = ""
        self._tell_again()

    def _say(self, what: str, word: HallWord) -> None:
        self._holds[what] = word
        if self._told is not None and not self.trouble:
            self._told(word)

    def _tell_again(self) -> None:
        for word in tuple(self._holds.values()):
            if self._told is not None and not self.trouble:
                self._told(word)
