"""The lines of an iCalendar file (RFC 5545), unfolded, with their places and their faults."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from showtime.fair import Where
from showtime.settings.problem import Problems
from showtime.settings.repeats import fault_of_rule

_LINE = re.compile(r'([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:])*)*):(.*)', re.DOTALL)
_MOMENTS = frozenset({"DTSTART", "DTEND", "RDATE", "EXDATE", "RECURRENCE-ID"})
_DEEPEST = 5
MOST_EVENTS = 5_000


@dataclass(frozen=True, slots=True)
class Line:
    """A content line, NAME;PARAMETERS:value. `inside` is the part of the file that holds it."""

    name: str
    value: str
    where: Where
    raw: str
    inside: str


def content_lines(text: str, file: str, problems: Problems) -> list[Line]:
    """All lines in order; what is broken is added to `problems`."""
    found: list[Line] = []
    open_parts: list[str] = []
    for raw, number in _unfolded(text):
        where = Where(file, number, 1)
        parts = _LINE.fullmatch(raw)
        if not parts:
            problems.add(where, f"{raw[:30]!r} is no line of a calendar; write NAME:value")
            continue
        inside = open_parts[-1] if open_parts else ""
        line = Line(parts[1].upper(), parts[3].strip(), where, raw, inside)
        found.append(line)
        if not _nested(line, open_parts, problems):
            return found
        fault = _fault_of_value(line)
        if fault:
            problems.add(where, fault)
    _check_frame(found, open_parts, file, problems)
    return found


def _nested(line: Line, open_parts: list[str], problems: Problems) -> bool:
    """Keep count of BEGIN and END; False when they do not pair and the rest makes no sense."""
    part = line.value.upper()
    if line.name == "BEGIN":
        open_parts.append(part)
        if len(open_parts) > _DEEPEST:
            problems.add(line.where, "this is nested too deep for a calendar; delete it")
            return False
    elif line.name == "END":
        if not open_parts or open_parts[-1] != part:
            begun = f"BEGIN:{open_parts[-1]}" if open_parts else "nothing that began"
            problems.add(line.where, f"END:{part[:30]} ends {begun[:40]}; mend the pair")
            return False
        open_parts.pop()
    return True


def _check_frame(found: list[Line], open_parts: list[str], file: str, problems: Problems) -> None:
    if not found or (found[0].name, found[0].value.upper()) != ("BEGIN", "VCALENDAR"):
        problems.add(Where(file, 1, 1), "this is no calendar; it must begin with BEGIN:VCALENDAR")
    elif open_parts:
        problems.add(
            found[-1].where,
            f"the calendar breaks off after this line; END:{open_parts[-1][:30]} is missing",
        )
    events = [line for line in found if (line.name, line.value.upper()) == ("BEGIN", "VEVENT")]
    if len(events) > MOST_EVENTS:
        problems.add(
            events[MOST_EVENTS].where,
            f"this calendar has more than {MOST_EVENTS} events; leave out those of other days",
        )


def _unfolded(text: str) -> Iterator[tuple[str, int]]:
    """Lines with their continuations joined (section 3.1), and the number of their first."""
    raw, first = "", 0
    for number, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1):
        if line[:1] in (" ", "\t") and raw:
            raw += line[1:]
            continue
        if raw.strip():
            yield raw, first
        raw, first = line, number
    if raw.strip():
        yield raw, first


def _fault_of_value(line: Line) -> str:
    """What is wrong with a moment or a rule; empty when nothing is."""
    if line.name == "RRULE":
        return fault_of_rule(line.value)
    if line.name not in _MOMENTS:
        return ""
    for value in line.value.split(","):
        moment = value.strip().split("/")[0]
        if not _is_moment(moment):
            return (
                f"{moment[:30]!r} is no date or time from 1970 to 2199; write one such as"
                " 20270213T143500"
            )
    return ""


def _is_moment(text: str) -> bool:
    form = "%Y%m%d" if len(text) == 8 else "%Y%m%dT%H%M%S"
    if not re.fullmatch(r"\d{8}(T\d{6}Z?)?", text):
        return False
    try:
        return 1970 <= datetime.strptime(text.removesuffix("Z"), form).year < 2200  # noqa: DTZ007
    except ValueError:
        return False
