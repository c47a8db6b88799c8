"""The lines of an iCalendar file (RFC 5545), unfolded, with their places and their faults."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from showtime.fair import Where
from showtime.settings.problem import Problems
from showtime.settings.repeats import fault_of_rule

MOST_EVENTS = 5_000
MOST_LINES = 150_000
_MOST_FAULTS = 20
_DEEPEST = 5

_LINE = re.compile(r'([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:])*)*):(.*)', re.DOTALL)
_MOMENTS = frozenset({"DTSTART", "DTEND", "RDATE", "EXDATE", "RECURRENCE-ID"})
_DURATION = re.compile(
    r"\+?P(?=[0-9T])"
    r"([0-9]{1,5}W|([0-9]{1,5}D)?(T(?=[0-9])([0-9]{1,5}H)?([0-9]{1,5}M)?([0-9]{1,5}S)?)?)"
)


@dataclass(frozen=True, slots=True)
class Line:
    """A content line, NAME;PARAMETERS:value, with the parts that it lies in, outermost first."""

    name: str
    value: str
    where: Where
    raw: str
    within: tuple[str, ...]

    def begins(self, part: str) -> bool:
        return self.name == "BEGIN" and self.value.upper() == part

    @property
    def in_event(self) -> bool:
        """True for an event's own lines, not those of an alarm in it."""
        return self.within == ("VCALENDAR", "VEVENT")


def content_lines(text: str, file: str, problems: Problems) -> list[Line]:
    """All lines in order; what is broken is added to `problems`."""
    found: list[Line] = []
    within: list[str] = []
    before = problems.count
    for raw, number in _unfolded(text):
        where = Where(file, number, 1)
        parts = _LINE.fullmatch(raw)
        if not parts:
            problems.add(where, f"'{raw[:30]}' is no line of a calendar; write NAME:value")
        else:
            line = Line(parts[1].upper(), parts[3].strip(), where, raw, tuple(within))
            found.append(line)
            if not _nested(line, within, problems):
                return found
            fault = _fault_of_value(line)
            if fault:
                problems.add(where, fault)
        if number > MOST_LINES:
            problems.add(where, f"this calendar has more than {MOST_LINES} lines; shorten it")
        if number > MOST_LINES or problems.count - before > _MOST_FAULTS:
            return found
    _check_frame(found, within, file, problems)
    return found


def _nested(line: Line, within: list[str], problems: Problems) -> bool:
    """Keep count of BEGIN and END; False when they do not pair and the rest makes no sense."""
    part = line.value.upper()
    if line.name == "BEGIN":
        within.append(part)
        if len(within) > _DEEPEST:
            problems.add(line.where, "this is nested too deep for a calendar; delete it")
            return False
    elif line.name == "END":
        if not within or within[-1] != part:
            begun = f"BEGIN:{within[-1]}" if within else "nothing that began"
            problems.add(line.where, f"END:{part[:30]} ends {begun[:40]}; mend the pair")
            return False
        within.pop()
    return True


def _check_frame(found: list[Line], within: list[str], file: str, problems: Problems) -> None:
    if not found or not found[0].begins("VCALENDAR"):
        problems.add(Where(file, 1, 1), "this is no calendar; it must begin with BEGIN:VCALENDAR")
    elif within:
        problems.add(
            found[-1].where,
            f"the calendar breaks off after this line; END:{within[-1][:30]} is missing",
        )
    events = [line for line in found if line.begins("VEVENT")]
    if len(events) > MOST_EVENTS:
        problems.add(
            events[MOST_EVENTS].where,
            f"this calendar has more than {MOST_EVENTS} events; leave out those of other days",
        )


def _unfolded(text: str) -> Iterator[tuple[str, int]]:
    """Lines with their continuations joined (section 3.1), and the number of their first."""
    parts: list[str] = []
    first = 0
    for number, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1):
        if line[:1] in (" ", "\t") and parts:
            parts.append(line[1:])
            continue
        if parts:
            yield "".join(parts), first
        parts, first = [line] if line.strip() else [], number
    if parts:
        yield "".join(parts), first


def _fault_of_value(line: Line) -> str:
    """What is wrong with an event's moment, rule or length; empty when nothing is."""
    if line.name == "X-WR-TIMEZONE" and line.within == ("VCALENDAR",):
        return _fault_of_zone(line.value)
    if not line.in_event:
        return ""
    if line.name == "RRULE":
        return fault_of_rule(line.value)
    if line.name == "DURATION" and not _DURATION.fullmatch(line.value.upper()):
        return f"{line.value[:30]!r} is no length of an event; write one such as PT1H30M"
    if line.name == "SEQUENCE" and not re.fullmatch(r"[0-9]{1,9}", line.value):
        return f"{line.value[:30]!r} is no whole number; write one such as 0"
    for value in line.value.split(",") if line.name in _MOMENTS else ():
        moment = value.strip().split("/")[0]
        if not _is_moment(moment):
            return (
                f"{moment[:30]!r} is no date or time from 1970 to 2199; write one such as"
                " 20270213T143500"
            )
    return ""


def _fault_of_zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (LookupError, ValueError, OSError):
        return f"the zone {name[:40]!r} is not known; use one such as Europe/London"
    return ""


def _is_moment(text: str) -> bool:
    form = "%Y%m%d" if len(text) == 8 else "%Y%m%dT%H%M%S"
    if not re.fullmatch(r"[0-9]{8}(T[0-9]{6}Z?)?", text):
        return False
    try:
        return 1970 <= datetime.strptime(text.removesuffix("Z"), form).year < 2200  # noqa: DTZ007
    except ValueError:
        return False
