"""Caps as one idea: what each piece spends, how it drains away, and the limit.

A budget holds a level. It starts the day at `initial`; each start adds the piece's `at_start`;
while a piece sounds it grows by the piece's `per_second`, and while nothing sounds by `resting`.
It drains as its `drain` says, and must never exceed `limit`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import ClassVar, Protocol

from showtime.fair.piece import Piece
from showtime.fair.span import Where


@dataclass(frozen=True, slots=True)
class Window:
    """What was spent counts for `width`: in every half-open span that long the sum must fit."""

    width: timedelta


@dataclass(frozen=True, slots=True)
class Leak:
    """The level falls off exponentially: d(level)/dt = spending - level / time_constant.

    With `since`, the budget's `initial` is its level then, and what was spent before is of no
    account; without, it is the level at opening.
    """

    time_constant: timedelta
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Never:
    """Nothing drains: the sum over the whole day must fit."""


Drain = Window | Leak | Never


@dataclass(frozen=True, slots=True)
class Spend:
    """What one performance spends: at once when it starts, and each second while it sounds."""

    at_start: float = 0.0
    per_second: float = 0.0


class Budget(Protocol):
    """What planner, verifier, "why not then?" and report know of any cap."""

    rule: ClassVar[str]

    @property
    def why(self) -> str:
        """The limit in a person's words."""

    @property
    def where(self) -> Where | None:
        """Where the keeper or the organiser wrote it."""

    @property
    def drain(self) -> Drain: ...
    @property
    def limit(self) -> float: ...
    @property
    def initial(self) -> float: ...
    @property
    def resting(self) -> float: ...

    def spend(self, piece: Piece) -> Spend:
        """What a performance of `piece` spends."""

    def shown(self, level: float) -> str:
        """A level of this budget as a person would write it, with its unit."""
