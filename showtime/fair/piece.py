"""What the figure performs, and one planned playing of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from showtime.fair.span import Span, Where, instant


class Answers(StrEnum):
    """How the figure answers a question at a time when it should not disturb."""

    SOFTLY = "softly"
    SILENT = "silent"


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing the figure performs.

    `lasts` is how long it sounds, `reset` the least rest after it, `level_dba` the sound level at
    1 m (None: not told), `heat_k` the rise above ambient that the motors would reach if it never
    ended, `current_a` what it draws beside the idle current. `answers`: how a question is
    answered while it plays.
    """

    name: str
    lasts: timedelta
    reset: timedelta = timedelta(0)
    level_dba: float | None = None
    heat_k: float = 0.0
    current_a: float = 0.0
    answers: Answers = Answers.SOFTLY
    where: Where | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        if self.lasts <= timedelta(0) or self.reset < timedelta(0):
            raise ValueError(f"{self.name} must last longer than nothing, and not rest for less")


@dataclass(frozen=True, slots=True)
class Performance:
    """A playing of `piece` that starts at `starts` (UTC)."""

    starts: datetime
    piece: Piece

    def __post_init__(self) -> None:
        object.__setattr__(self, "starts", instant(self.starts))

    @property
    def ends(self) -> datetime:
        return self.starts + self.piece.lasts

    @property
    def span(self) -> Span:
        return Span(self.starts, self.ends)
