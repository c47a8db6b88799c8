"""The kinds of values that tell a time: of the day, a date, a zone."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from showtime.settings.kinds import Schema, likeliest, scalar, short
from showtime.settings.problem import Problems
from showtime.settings.tree import Node

_CLOCK = r"^([01]?[0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?$|^24:00(:00)?$"
_NEARLY_CLOCK = re.compile(r"(\d{1,2})(?:[:.h ](\d{2}))? ?([ap])?\.?(?:m\.?)?", re.IGNORECASE)


@dataclass(frozen=True)
class ClockTime:
    """A time of day on the stall's clock, as the time since midnight; 24:00 is the day's end."""

    example: str = "10:30"

    def read(self, node: Node, problems: Problems) -> timedelta | None:
        expected = f"hours and minutes from 0:00 to 24:00, such as {self.example}"
        value = scalar(node, expected, problems)
        if value is None:
            return None
        if not re.search(_CLOCK, value.text):
            problems.add(
                node.where,
                f"'{short(value.text)}' is no time of day; write {_meant(value.text) or expected}",
            )
            return None
        hours, minutes, *seconds = (int(part) for part in value.text.split(":"))
        return timedelta(hours=hours, minutes=minutes, seconds=sum(seconds))

    def schema(self) -> Schema:
        return {"type": "string", "pattern": _CLOCK}


def _meant(text: str) -> str:
    """The time that someone meant who typed 10.30, 10h30, 3 pm or 10; empty when unclear."""
    parts = _NEARLY_CLOCK.fullmatch(text)
    if not parts:
        return ""
    hours, minutes, half = int(parts[1]), int(parts[2] or 0), (parts[3] or "").lower()
    if half and 1 <= hours <= 12:
        hours = hours % 12 + (12 if half == "p" else 0)
    return f"{hours}:{minutes:02}" if hours < 24 and minutes < 60 else ""


_DATE = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"


@dataclass(frozen=True)
class Date:
    """A date of the calendar, between the years that calendars and clocks here can handle."""

    example: str = "2027-02-13"

    def read(self, node: Node, problems: Problems) -> date | None:
        expected = f"year-month-day, such as {self.example}"
        value = scalar(node, expected, problems)
        if value is None:
            return None
        if not re.search(_DATE, value.text):
            problems.add(node.where, f"'{short(value.text)}' is no date; write {expected}")
            return None
        try:
            day = date.fromisoformat(value.text)
        except ValueError:
            problems.add(
                node.where,
                f"there is no {value.text} in the calendar; {_last_of_month(value.text)}",
            )
            return None
        if not 1970 <= day.year < 2200:
            problems.add(node.where, f"{value.text} is too far away; write a year 1970 to 2199")
            return None
        return day

    def schema(self) -> Schema:
        return {"type": "string", "pattern": _DATE}


def _last_of_month(text: str) -> str:
    year, month = int(text[:4]), int(text[5:7])
    if not (1 <= month <= 12 and 1 <= year < 9999):
        return "write the month as 01 to 12"
    after = date(year + month // 12, month % 12 + 1, 1)
    return f"the month's days are 01 to {(after - timedelta(days=1)).day}"


@dataclass(frozen=True)
class Zone:
    """A time zone by its name in the IANA time zone database."""

    example: str = "Europe/London"

    def read(self, node: Node, problems: Problems) -> ZoneInfo | None:
        value = scalar(node, f"the name of a time zone, such as {self.example}", problems)
        if value is None:
            return None
        try:
            return ZoneInfo(value.text)
        except (KeyError, ValueError, OSError):
            from zoneinfo import available_timezones

            meant = likeliest(value.text, sorted(available_timezones()))
            hint = f"did you mean {meant}?" if meant else f"write one such as {self.example}"
            problems.add(node.where, f"'{short(value.text)}' is no time zone known here; {hint}")
            return None

    def schema(self) -> Schema:
        return {"type": "string", "examples": [self.example]}
