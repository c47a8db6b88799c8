"""Instants of one day as whole microseconds since its opening: exact, and fast in arrays."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise

from showtime.fair import Day

MICRO = timedelta(microseconds=1)
SECOND = 1_000_000
HOUR = timedelta(hours=1)
MINUTE = 60 * SECOND


def ticks(length: timedelta) -> int:
    """A length as whole microseconds."""
    return length // MICRO


def since_opening(day: Day, moment: datetime) -> int:
    return ticks(moment - day.hours.start)


def as_instant(day: Day, moment: int) -> datetime:
    return day.hours.start + timedelta(microseconds=moment)


def grid_starts(day: Day) -> list[int]:
    """Every moment from opening to closing that lies on the grid counted from the local hour.

    Walked in real time: an hour that the clock repeats is there twice, one that it leaves out
    is not there.
    """
    found = []
    for begins, ends in _same_offset(day):
        moment = begins
        while moment < ends:
            into_hour = _into_hour(day, moment)
            ahead = -into_hour % day.wishes.start_on
            if ahead and into_hour + ahead > HOUR:
                ahead = HOUR - into_hour
            moment += ahead
            if moment < ends:
                found.append(since_opening(day, moment))
            moment += min(day.wishes.start_on, HOUR - _into_hour(day, moment))
    return found


def _into_hour(day: Day, moment: datetime) -> timedelta:
    local = day.local(moment)
    return timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)


def _same_offset(day: Day) -> list[tuple[datetime, datetime]]:
    """The open hours cut where the clock changes."""

    def offset(moment: datetime) -> timedelta | None:
        return day.local(moment).utcoffset()

    marks = [day.hours.start]
    while marks[-1] < day.hours.end:
        ahead = min(marks[-1] + HOUR, day.hours.end)
        before = marks[-1]
        if offset(before) != offset(ahead):
            while ahead - before > MICRO:
                middle = before + (ahead - before) // 2
                before, ahead = (
                    (middle, ahead) if offset(middle) == offset(before) else (before, middle)
                )
        marks.append(ahead)
    return list(pairwise(marks))
