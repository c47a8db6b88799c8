"""What went otherwise than planned: holds, power cuts, doubts, faults, what the keeper changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from showtime.live import events as happened
from showtime.live.events import Event


@dataclass(frozen=True, slots=True)
class Happening:
    """Something that happened at `at`, until `until` where that is known.

    `kind` is one of a few words of ours; `piece` names what it was about; `why` are words that
    somebody typed, or the program's own.
    """

    at: datetime
    kind: str
    until: datetime | None = None
    piece: str = ""
    why: str = ""


KINDS = (
    "power cut",
    "hold",
    "clock doubted",
    "clock set",
    "fault",
    "stopped",
    "missed",
    "called off",
    "late",
    "closed early",
    "quiet added",
    "added",
    "time set",
    "undone",
    "hall plan",
    "hall quiet",
    "hall limits",
    "gave way",
)


def happenings(events: Sequence[Event]) -> tuple[Happening, ...]:
    """All of them, in order of time."""
    found: list[Happening] = []
    for place, event in enumerate(events):
        found += [*_at_once(event), *_changed(event), *_of_the_hall(event)]
        found += _lasting(events, place)
    return tuple(sorted(found, key=lambda each: each.at))


def _lasting(events: Sequence[Event], place: int) -> Iterator[Happening]:
    """What goes on until something ends it."""
    event = events[place]
    match event:
        case happened.Held():
            until = _next(events, place, happened.Released, happened.DayEnded)
            yield Happening(event.at, "hold", until, why=event.why)
        case happened.DayResumed() if place:
            # The last thing that was written is the last that is known of the time before.
            piece = event.interrupted.piece if event.interrupted else ""
            yield Happening(events[place - 1].at, "power cut", event.at, piece)
        case happened.ClockDoubted():
            until = _next(events, place, happened.ClockTrusted)
            yield Happening(event.at, "clock doubted", until, why=event.why)
        case happened.FigureFailed():
            until = _next(events, place, happened.FigureWell, happened.Released)
            yield Happening(event.at, "fault", until, why=event.why)


def _next(events: Sequence[Event], place: int, *kinds: type[Event]) -> datetime | None:
    return next((each.at for each in events[place + 1 :] if isinstance(each, kinds)), None)


def _at_once(event: Event) -> Iterator[Happening]:
    match event:
        case happened.Stopped():
            yield Happening(event.at, "stopped", piece=event.slot.piece, why=event.why)
        case happened.Missed():
            yield Happening(event.slot.starts, "missed", piece=event.slot.piece, why=event.why)
        case happened.CalledOff():
            yield Happening(event.at, "called off", piece=event.slot.piece)
        case happened.Delayed():
            yield Happening(event.at, "late", event.until, event.slot.piece)
        case happened.ClosedEarly():
            yield Happening(event.at, "closed early", event.closes)
        case happened.QuietAdded():
            yield Happening(event.start, "quiet added", event.end, why=event.why)


def _of_the_hall(event: Event) -> Iterator[Happening]:
    """What the organiser and the neighbours made otherwise."""
    match event:
        case happened.HallPlanned():
            yield Happening(event.at, "hall plan")
        case happened.HallHushed(hush=hush):
            yield Happening(hush.start, "hall quiet", hush.end, why=hush.why)
        case happened.HallCapped():
            yield Happening(event.at, "hall limits")
        case happened.GaveWay(slot=slot):
            yield Happening(slot.starts, "gave way", piece=slot.piece, why=event.why)


def _changed(event: Event) -> Iterator[Happening]:
    """What the keeper made otherwise."""
    match event:
        case happened.Added():
            yield Happening(event.at, "added", event.slot.starts, event.slot.piece)
        case happened.TimeSet():
            yield Happening(event.at, "time set", event.becomes.starts, event.becomes.piece)
        case happened.Undone():
            yield Happening(event.at, "undone")
        case happened.ActionTaken() if event.was is not None:
            yield Happening(event.was, "clock set", event.at)
