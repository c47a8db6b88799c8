"""Calendar files: the events, repeated ones included, that meet a stretch of time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from showtime.fair import Span, Where
from showtime.settings.icslines import Line, content_lines
from showtime.settings.icsreader import BROKEN, blame, events_of, opened
from showtime.settings.problem import Problems
from showtime.settings.reading import LARGEST_CALENDAR, read_text
from showtime.settings.repeats import steps

# A repeating event is followed from its beginning; this many moments take about a second.
MOST_STEPS = 400_000


@dataclass(frozen=True, slots=True)
class Event:
    """One occurrence of an event."""

    summary: str
    span: Span


class Calendars:
    """The calendar files of one reading: each is read once, however many entries name it."""

    def __init__(self) -> None:
        self._known: dict[tuple[Path, str], Calendar] = {}

    def at(self, path: Path, zone: ZoneInfo, named_at: Where, problems: Problems) -> Calendar:
        """The calendar at `path`; one that is not there is missed at every entry that names it."""
        key = (path, zone.key)
        if key not in self._known:
            calendar = Calendar(path, zone, named_at, problems)
            if not calendar.was_read:
                return calendar
            self._known[key] = calendar
        return self._known[key]


class Calendar:
    """A calendar file, read once. Times that float are those of `zone`."""

    def __init__(self, path: Path, zone: ZoneInfo, named_at: Where, problems: Problems) -> None:
        self._zone = zone
        self._file = str(path)
        self._problems = problems
        self._lines: list[Line] = []
        self._query: Any = None
        self._events: dict[Span, list[Event]] = {}
        self.was_read = False
        text = read_text(path, LARGEST_CALENDAR, named_at, problems)
        if text is None:
            return
        self.was_read = True
        before = problems.count
        self._lines = content_lines(text, self._file, problems)
        if problems.count == before:
            self._query = opened(self._lines, self._file, problems)

    def events(self, during: Span) -> list[Event]:
        """What meets `during`, in order; nothing when the file is broken."""
        if during not in self._events:
            self._events[during] = self._found(during)
        return self._events[during]

    def _found(self, during: Span) -> list[Event]:
        if self._query is None or not self._affordable(during.end):
            return []
        day = timedelta(days=1)
        try:
            found = self._query.between(
                (during.start - day).astimezone(self._zone),
                (during.end + day).astimezone(self._zone),
            )
            events = [event for one in found if (event := self._event(one)) is not None]
        except BROKEN as error:
            self._query = None
            blame(error, self._lines, self._file, self._problems)
            return []
        return sorted(
            (event for event in events if event.span.meets(during)), key=lambda event: event.span
        )

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
        spent = 0.0
        for event in events_of(self._lines):
            begun = next((line for line in event if line.name == "DTSTART"), None)
            for line in event:
                if line.name != "RRULE" or begun is None:
                    continue
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
