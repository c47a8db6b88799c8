"""What the rest of the hall lays upon a day, and where a start gave way to it."""

from __future__ import annotations

from dataclasses import dataclass

from showtime.live.events.event import Event
from showtime.live.slot import Cap, Hush, Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class HallPlanned(Event):
    """The organiser handed a joint plan: this stall's part of it, and when others sound by it."""

    slots: tuple[Slot, ...]
    hushes: tuple[Hush, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OthersPlay(Event):
    """From now on these, and no others, are the times in which others sound."""

    hushes: tuple[Hush, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HallHushed(Event):
    """The organiser called for quiet, or changed the quiet of the same `call`."""

    call: str
    hush: Hush


@dataclass(frozen=True, slots=True, kw_only=True)
class HushLifted(Event):
    """The organiser took that call for quiet back."""

    call: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HallCapped(Event):
    """The organiser set these limits, in place of those set before."""

    caps: tuple[Cap, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GaveWay(Event):
    """A start that was due did not come, since somebody else was sounding."""

    slot: Slot
    why: str
