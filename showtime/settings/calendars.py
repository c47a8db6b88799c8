"""Calendar files: the events, repeated ones included, that meet a stretch of time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from showtime.fair import Span, Where
from showtime.settings.icslines import Line, content_lines
from showtime.settings.problem import Problems
from showtime.settings.reading import LARGEST_CALENDAR, read_text
from showtime.settings.repeats import steps

MOST_STEPS = 400_000

# What the calendar library lets through of a broken file, as met in trials; its own errors are
# ValueErrors.
_BROKEN = (ValueError, LookupError, TypeError, AttributeError, ArithmeticError)


@dataclass(frozen=True, slots=True)
class Event:
    """One occurrence of an event."""

    summary: str
    span: Span


class Calendar:
    """A calendar file, read once. Times that float are those of `zone`."""

    def __init__(self, path: Path, zone: ZoneInfo, named_at: Where, problems: Problems) -> None:
        self._zone = zone
        self._file = str(path)
        self._problems = problems
        self._query: Any = None
        text = read_text(path, LARGEST_CALENDAR, named_at, problems)
        if text is None:
            return
        before = problems.count
        self._lines = content_lines(text, self._file, problems)
        if problems.count == before:
            self._query = self._opened(self._lines)

    def events(self, during: Span) -> list[Event]:
        """What meets `during`, in order; nothing when the file is broken."""
        if self._query is None or not self._affordable(during.end):
            return []
        day = timedelta(days=1)
        try:
            found = self._query.between(
                (during.start - day).astimezone(self._zone),
                (during.end + day).astimezone(self._zone),
            )
            events = [event for one in found if (event := self._event(one)) is not None]
        except _BROKEN as error:
            self._blame(error)
            return []
        return sorted(
            (event for event in events if event.span.meets(during)), key=lambda event: event.span
        )

    def _opened(self, lines: list[Line]) -> Any:
        from icalendar import Calendar as Reader
        from recurring_ical_events import of

        try:
            whole, *more = Reader.from_ical("\r\n".join(line.raw for line in lines), multiple=True)
            for other in more:
                whole.subcomponents.extend(other.subcomponents)
            return of(whole)
        except _BROKEN as error:
            self._blame(error)
            return None

    def _event(self, found: Any) -> Event | None:
        """One occurrence; None for one that is called off or takes no time."""
        if str(found.get("STATUS", "")).upper() == "CANCELLED":
            return None
        start, end = self._moment(found.start), self._moment(found.end)
        summary = " ".join(str(found.get("SUMMARY", "")).split())[:200]
        return Event(summary, Span(start, end)) if start < end else None

    def _moment(self, at: date) -> datetime:
        """A date is its first midnight on the stall's clock; a time without a zone is in its."""
        if not isinstance(at, datetime):
            at = datetime(at.year, at.month, at.day)  # noqa: DTZ001 (the zone comes next)
        return (at if at.tzinfo else at.replace(tzinfo=self._zone)).astimezone(UTC)

    def _affordable(self, until: datetime) -> bool:
        """False, with a problem, when the rules repeat so often that reading would take long."""
        begun: Line | None = None
        spent = 0.0
        for line in self._lines:
            if line.name == "DTSTART" and line.inside == "VEVENT":
                begun = line
            if line.name == "RRULE" and line.inside == "VEVENT" and begun:
                first = datetime.strptime(begun.value[:8], "%Y%m%d").replace(tzinfo=UTC)
                spent += steps(line.value, max(0.0, (until - first).total_seconds() / 86400))
                if spent > MOST_STEPS:
                    self._query = None
                    self._problems.add(
                        line.where,
                        "this repeats too often by then; let it begin nearer to the fair",
                    )
                    return False
        return True

    def _blame(self, error: Exception) -> None:
        """Name the first event that cannot be read by itself, or else the whole file."""
        self._query = None
        what = " ".join(str(error).split())[:120]
        self._problems.add(
            self._culprit() or Where(self._file, 1, 1),
            f"this part of the calendar makes no sense ({what}); mend or delete it",
        )

    def _culprit(self) -> Where | None:
        around = [line.raw for line in _outside_of_events(self._lines)]
        for event in _events(self._lines):
            if not _readable([around[0], *around[1:-1], *(line.raw for line in event), around[-1]]):
                return event[0].where
        return None


def _readable(lines: list[str]) -> bool:
    from icalendar import Calendar as Reader
    from recurring_ical_events import of

    some_day = datetime(2027, 1, 1, tzinfo=UTC)
    try:
        of(Reader.from_ical("\r\n".join(lines))).between(some_day, some_day + timedelta(days=1))
    except _BROKEN:
        return False
    return True


def _events(lines: Iterable[Line]) -> list[list[Line]]:
    """The lines of each event."""
    found: list[list[Line]] = []
    within = False
    for line in lines:
        if (line.name, line.value.upper()) == ("BEGIN", "VEVENT"):
            within = True
            found.append([])
        if within:
            found[-1].append(line)
        if (line.name, line.value.upper()) == ("END", "VEVENT"):
            within = False
    return found


def _outside_of_events(lines: Iterable[Line]) -> list[Line]:
    lines = list(lines)
    inside = {id(line) for event in _events(lines) for line in event}
    return [line for line in lines if id(line) not in inside]
