"""A calendar's lines to something that can be asked for events: the seam to the libraries."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from showtime.fair import Where
from showtime.settings.icslines import Line
from showtime.settings.problem import Problems

# What the libraries let out of a broken calendar, as met in trials; their own are ValueErrors.
BROKEN = (ValueError, LookupError, TypeError, AttributeError, ArithmeticError)

_ENDS = ("DTSTART", "DTEND", "RECURRENCE-ID")


def opened(lines: Sequence[Line], file: str, problems: Problems) -> Any:
    """A query of the calendar's events; None, with a problem, when they make no sense."""
    kept = [line for line in lines if _matters(line)]
    try:
        return _query([line.raw for line in kept], kept, problems)
    except BROKEN as error:
        blame(error, lines, file, problems)
        return None


def _matters(line: Line) -> bool:
    """False for tasks, journals and alarms: whatever is in them, no event is."""
    within = (*line.within, line.value.upper()) if line.name in ("BEGIN", "END") else line.within
    within = within if line.name != "END" else within[: len(line.within)]
    return len(within) < 2 or (within[1] in ("VEVENT", "VTIMEZONE") and "VALARM" not in within)


def _query(raw: list[str], lines: Sequence[Line], problems: Problems) -> Any:
    from icalendar import Calendar
    from recurring_ical_events import of

    whole, *more = Calendar.from_ical("\r\n".join(raw), multiple=True)
    for other in more:
        whole.subcomponents.extend(other.subcomponents)
    before = problems.count
    for event, own in zip(whole.walk("VEVENT"), events_of(lines), strict=True):
        fault = _fault_of_event(event)
        if fault:
            problems.add(_where_in(own, fault[0]), fault[1])
    return of(whole) if problems.count == before else None


def _fault_of_event(event: Any) -> tuple[str, str] | None:
    """The line that is at fault, by name, and what is wrong with it."""
    if "DTSTART" not in event:
        return "BEGIN", "this event has no start; add DTSTART:20270213T143500"
    for name in _ENDS:
        zone = event[name].params.get("TZID") if name in event else None
        if zone and getattr(event[name].dt, "tzinfo", None) is None:
            return name, f"the zone {str(zone)[:40]} is not known; use one such as Europe/London"
    try:
        backwards = event.end < event.start
    except BROKEN as error:
        return "BEGIN", f"this event's ends do not go together ({_said(error)}); mend DTEND"
    return ("DTEND", "this event ends before it starts; mend DTEND") if backwards else None


def _where_in(lines: Sequence[Line], name: str) -> Where:
    return next((line.where for line in lines if line.name == name), lines[0].where)


def events_of(lines: Sequence[Line]) -> list[list[Line]]:
    """The lines of each event, its frame included."""
    found: list[list[Line]] = []
    for line in lines:
        if line.begins("VEVENT"):
            found.append([line])
        elif "VEVENT" in line.within:
            found[-1].append(line)
    return found


def blame(error: Exception, lines: Sequence[Line], file: str, problems: Problems) -> None:
    """Name the first event that cannot be read by itself, or else the whole file."""
    problems.add(
        _culprit(lines) or Where(file, 1, 1),
        f"this part of the calendar makes no sense ({_said(error)}); mend or delete it",
    )


def _said(error: Exception) -> str:
    said = " ".join(str(error).split())[:120]
    return "its rule never comes true" if "UNTIL parameter is missing" in said else said


def _culprit(lines: Sequence[Line]) -> Where | None:
    zone_lines = [line for line in lines if "VTIMEZONE" in (*line.within, line.value.upper())]
    zones = [line.raw for line in zone_lines]
    if zones and not _readable(["BEGIN:VCALENDAR", *zones, "END:VCALENDAR"], []):
        return zone_lines[0].where
    for event in events_of(lines):
        kept = [line.raw for line in event if _matters(line)]
        alone = ["BEGIN:VCALENDAR", *zones, *kept, "END:VCALENDAR"]
        if not _readable(alone, event):
            return event[0].where
    return None


def _readable(raw: list[str], lines: Sequence[Line]) -> bool:
    some_day = datetime(2027, 1, 1, tzinfo=UTC)
    try:
        query = _query(raw, lines, Problems())
        if query is not None:
            query.between(some_day, some_day + timedelta(days=1))
    except BROKEN:
        return False
    return True
