"""What stalls say to each other of the times in which they want to sound. Frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum

from showtime.fair import Span


class Order(IntEnum):
    """What goes first when two stalls want one time."""

    PROMISED = 0
    PLANNED = 1
    NEW = 2


@dataclass(frozen=True, slots=True, order=True)
class Rank:
    """A claim's place among others: the lower goes first. No two claims that overlap share one.

    `asked`: milliseconds since 1970 by its stall's clock, or later (see `after`).
    """

    order: int
    asked: int
    stall: str

    def after(self, other: Rank) -> Rank:
        """The nearest rank of this stall that comes after `other`; itself when it does already."""
        return self if self > other else Rank(other.order, other.asked + 1, self.stall)


@dataclass(frozen=True, slots=True)
class Claim:
    """A span in which a stall wants to sound. Number, span and rank never change.

    `ends`: when it is going to end, which is later than the span's end when it began late. `held`:
    it has all the leave it needs. `sounding`: it has begun, and was not yet said to be over.
    """

    number: int
    span: Span
    rank: Rank
    ends: datetime
    promised: bool = False
    held: bool = False
    sounding: bool = False


@dataclass(frozen=True, slots=True)
class Claims:
    """All that a stall claims; replaces whatever it claimed with a lower `epoch` or `serial`.

    An epoch is one run of its program. `ruled`: it has been handed the rules of the hall, and asks
    and answers by them.
    """

    stall: str
    epoch: int
    serial: int
    claims: tuple[Claim, ...]
    ruled: bool = True

    @property
    def version(self) -> tuple[int, int]:
        return self.epoch, self.serial


@dataclass(frozen=True, slots=True)
class Answer:
    """Leave given by `stall` to another's claims, those of its `of_epoch` up to number `seen`.

    All but the `refused` have leave. What once had leave keeps it until its stall gives it up.
    """

    stall: str
    to: str
    epoch: int
    serial: int
    of_epoch: int
    seen: int
    refused: tuple[int, ...] = ()

    @property
    def version(self) -> tuple[int, int]:
        return self.epoch, self.serial

    def grants(self, number: int) -> bool:
        return number <= self.seen and number not in self.refused


@dataclass(frozen=True, slots=True)
class Bond:
    """Of these stalls at most `most` sound at once."""

    most: int
    stalls: frozenset[str]
    why: str = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A time in which the stall's own day means to sound."""

    span: Span
    promised: bool = False
    planned: bool = False

    @property
    def order(self) -> Order:
        if self.promised:
            return Order.PROMISED
        return Order.PLANNED if self.planned else Order.NEW


@dataclass(frozen=True, slots=True)
class When:
    """One moment by both of a stall's clocks: the time of day, and seconds that never jump."""

    at: datetime
    steady: float
