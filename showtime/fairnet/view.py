"""The whole hall as its organiser sees it at one moment: values for pages and tables to show."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from showtime.fair import Span


class Here(StrEnum):
    """Whether a stall is on the line."""

    NEVER_SEEN = "never seen"
    PRESENT = "present"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class PlanVersion:
    """Which of the plans that were published: the higher number wins, then the later name."""

    number: int
    desk: str

    def __lt__(self, other: PlanVersion) -> bool:
        return (self.number, self.desk) < (other.number, other.desk)

    def __str__(self) -> str:
        return f"{self.number} of {self.desk}"


@dataclass(frozen=True, slots=True)
class CapUsed:
    """How much of a cap a stall has used: `used` and `limit` in its own unit, `shown` in words."""

    why: str
    used: float
    limit: float
    shown: str

    @property
    def share(self) -> float:
        """The part of the limit that is used; 1 is all of it."""
        if self.limit > 0:
            return self.used / self.limit
        return 0.0 if self.used <= self.limit else float("inf")


@dataclass(frozen=True, slots=True)
class Sounds:
    """A piece, and when it starts and ends."""

    piece: str
    span: Span


@dataclass(frozen=True, slots=True)
class StallView:
    """One stall as it last told of itself.

    `stage` is the word of its day's stage, empty when it never told. `follows` is the plan it goes
    by (None: its own), `clock_apart` how far its clock is ahead of the organiser's, in seconds.
    `heeds` are the calls for quiet that it has taken up and keeps: their ids.
    """

    name: str
    here: Here = Here.NEVER_SEEN
    stage: str = ""
    playing: Sounds | None = None
    next: Sounds | None = None
    promised: tuple[datetime, ...] = ()
    follows: PlanVersion | None = None
    caps: tuple[CapUsed, ...] = ()
    trouble: str = ""
    clock_apart: float = 0.0
    last_heard: datetime | None = None
    heeds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class QuietNow:
    """A quiet in the hall that some organiser called; `call` is its id, `by` the desk's name."""

    call: str
    why: str
    span: Span
    by: str
    lifted: bool = False

    def left(self, now: datetime) -> timedelta:
        """How long it still lasts; nothing when it is over or was lifted."""
        return timedelta(0) if self.lifted else max(timedelta(0), self.span.end - now)


@dataclass(frozen=True, slots=True)
class HallView:
    """The hall at `now`: stalls in the order of the hall's day, `quiet` what holds or comes.

    `plan_version` is the last plan that anybody published; `trouble` is why the hall is not
    reached, or what is odd about it, in a line; empty when all is well.
    """

    now: datetime
    stalls: tuple[StallView, ...]
    plan_version: PlanVersion | None = None
    quiet: tuple[QuietNow, ...] = ()
    trouble: str = ""

    def stall(self, name: str) -> StallView:
        """The stall of that name; KeyError when there is none."""
        for stall in self.stalls:
            if stall.name == name:
                return stall
        raise KeyError(name)
