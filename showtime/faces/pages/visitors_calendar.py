"""The board's starts as a calendar file for a visitor's phone. Pure."""

from __future__ import annotations

from datetime import datetime, timedelta

from showtime.faces.calendar import calendar
from showtime.faces.pages.bill import Bill
from showtime.fair import Day, Performance

ALARM = timedelta(minutes=5)
"""So long before a start a phone reminds its owner (common practice)."""


def next_calendar(day: Day, shown: Bill, now: datetime) -> bytes | None:
    """The start that is told, with an alarm; None while none is told, or only another day's."""
    coming = _coming(day, shown)
    return calendar(day, coming[:1], now, alarm=ALARM) if coming else None


def day_calendar(day: Day, shown: Bill, now: datetime) -> bytes | None:
    """That, and all that is planned after it."""
    coming = _coming(day, shown)
    return calendar(day, coming, now, alarm=ALARM) if coming else None


def _coming(day: Day, shown: Bill) -> list[Performance]:
    if shown.at is None or not shown.piece:
        return []
    told = Performance(shown.at, day.piece(shown.piece))
    return [told, *(Performance(starts, day.piece(piece)) for starts, piece in shown.later)]
