"""Values that events are made of: they stand in the journal within them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, order=True)
class Slot:
    """A planned start and the name of the piece."""

    starts: datetime
    piece: str


@dataclass(frozen=True, slots=True)
class Said:
    """The same told in another language."""

    text: str
    language: str


@dataclass(frozen=True, slots=True, order=True)
class Hush:
    """A stretch of time in which nothing may sound, and why."""

    start: datetime
    end: datetime
    why: str


@dataclass(frozen=True, slots=True)
class Cap:
    """A limit as the hall set it: at most so much (`most`) of what `rule` names, in any so many
    `seconds`; with `all_day` in the whole day.

    `of`: the stall where it is heard, `distance_m` metres away, or the piece that is meant.
    """

    rule: str
    most: float
    seconds: float
    all_day: bool
    why: str
    of: str = ""
    distance_m: float = 0.0
