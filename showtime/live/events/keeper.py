"""What the keeper does to a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from showtime.live.events.event import Event
from showtime.live.slot import Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class Held(Event):
    """Nothing moves until it is released."""

    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Released(Event):
    """The keeper lets the figure go on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delayed(Event):
    """The keeper said that a start will be late by so many minutes, until `until`."""

    slot: Slot
    minutes: int
    until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionTaken(Event):
    """The keeper did something, in these words; what it changed follows.

    `was` is what the clock showed before, if it was the clock that the keeper set.
    """

    words: str
    was: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CalledOff(Event):
    """The keeper took a start out; nothing else is planned over it either."""

    slot: Slot
    until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Added(Event):
    """The keeper wants a start there; it is kept like a promise."""

    slot: Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeSet(Event):
    """The keeper set the next performance: it `becomes` that one, and none comes before it."""

    slot: Slot | None
    becomes: Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRefused(Event):
    """The keeper set a start that `rules` forbid; `offer` is the nearest that is allowed.

    `why` is the reason of the quiet that is kept then, if one of them is that.
    """

    wanted: Slot
    rules: tuple[str, ...]
    why: str
    offer: Slot | None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuietAdded(Event):
    """The hall, or a neighbour, needs quiet from `start` to `end`."""

    start: datetime
    end: datetime
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedEarly(Event):
    """The day ends at `closes`."""

    closes: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceChosen(Event):
    """Another piece is played in this slot."""

    slot: Slot
    piece: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone(Event):
    """The keeper took the last action back."""
