"""Which day a journal is of, and the day as the settings have it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from showtime.fair import Day, Piece, Span, Stall
from showtime.live import events as happened
from showtime.live.events import Event, Slot
from showtime.live.journal import JournalError

_UNTOLD = timedelta(minutes=1)
"""The length of a piece that the settings do not know and that was never seen to end."""


def day_of_journal(stall: Stall, events: Sequence[Event], fallback: Day | None) -> tuple[Day, bool]:
    """The day that the events are of, and whether the settings know it.

    A day that the settings have no more, such as one of another year, gets the limits of the
    stall's first day and its opening hours. JournalError: the journal is another stall's. Without a
    beginning in it, it is taken for `fallback`, or the day of its first event.
    """
    began = next((each for each in events if isinstance(each, happened.DayBegan)), None)
    if began is not None and began.stall != stall.signboard.stall:
        raise JournalError(
            f"this is the journal of {began.stall}, and the settings are those of "
            f"{stall.signboard.stall}; name the right ones of both"
        )
    if began is None and fallback is not None:
        return _with_pieces(fallback, events), True
    zone = stall.signboard.timezone
    wanted = began.date if began else _date_of(events, stall)
    known = stall.day(wanted)
    if known is not None:
        return _with_pieces(known, events), True
    like = stall.days[0]

    def moved(moment: datetime) -> datetime:
        local = moment.astimezone(zone)
        return local + (wanted - like.date)

    hours = Span(moved(like.hours.start), moved(like.hours.end))
    wishes = replace(like.wishes, busy=(), fixed=())
    day = replace(like, date=wanted, hours=hours, quiet=(), wishes=wishes)
    return _with_pieces(day, events), False


def _date_of(events: Sequence[Event], stall: Stall) -> date:
    if not events:
        return stall.days[0].date
    return events[0].at.astimezone(stall.signboard.timezone).date()


def unknown_pieces(day: Day, events: Sequence[Event]) -> list[str]:
    """Pieces that were played or planned and that the day has not."""
    known = {piece.name for piece in day.pieces}
    return sorted({slot.piece for slot in _slots(events)} - known)


def _with_pieces(day: Day, events: Sequence[Event]) -> Day:
    """The day with pieces that the settings no longer have, so that nothing is left out."""
    unknown = unknown_pieces(day, events)
    if not unknown:
        return day
    lengths = dict.fromkeys(unknown, _UNTOLD)
    begun: dict[Slot, datetime] = {}
    for event in events:
        if isinstance(event, happened.Started):
            begun[event.slot] = event.at
        elif isinstance(event, happened.Finished) and event.slot in begun:
            lasted = event.at - begun[event.slot]
            lengths[event.slot.piece] = max(lasted, timedelta(seconds=1))
    added = tuple(Piece(name, lengths[name]) for name in unknown)
    return replace(day, pieces=(*day.pieces, *added))


def _slots(events: Sequence[Event]) -> Iterator[Slot]:
    for event in events:
        match event:
            case happened.DayBegan() | happened.Replanned() | happened.HallPlanned():
                yield from event.slots
            case happened.PieceChosen():
                yield Slot(event.slot.starts, event.piece)
            case happened.TimeSet():
                yield event.becomes
            case happened.DayResumed():
                if event.interrupted is not None:
                    yield event.interrupted
            case happened.Started() | happened.Added() | happened.Missed() | happened.GaveWay():
                yield event.slot
