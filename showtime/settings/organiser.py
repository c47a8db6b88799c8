"""A fair's file as its stalls inherit from it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from showtime.fair import QuietInterval
from showtime.settings.calendars import Calendars
from showtime.settings.fairfile import FairCapGroup, FairFile
from showtime.settings.opening import OpenDays, open_days
from showtime.settings.problem import Problems
from showtime.settings.quiets import quiet_by_day

QuietByDay = dict[date, list[QuietInterval]]


class Organiser:
    """What stalls inherit; what is the same for all of them is worked out once.

    `path` is the file's; `calendars` are all that it and its stalls name. A fair that names no
    zone keeps the time of the stall that asks.
    """

    def __init__(self, written: FairFile, path: Path, problems: Problems) -> None:
        self.written = written
        self.path = path
        self._problems = problems
        self.calendars = Calendars()
        self._days: dict[str, OpenDays] = {}
        self._quiet: dict[str, QuietByDay] = {}

    def days(self, zone: ZoneInfo) -> OpenDays:
        """The fair's own days."""
        if zone.key not in self._days:
            days = open_days(self.written.days, self.written.timezone or zone, self._problems)
            certain = days.certain and "days" not in self.written.wrong
            self._days[zone.key] = OpenDays(days.days, certain)
        return self._days[zone.key]

    def quiet(self, of_stall: OpenDays, zone: ZoneInfo) -> QuietByDay:
        """The fair's quiet intervals that meet the open hours of a stall."""
        known = self.days(zone)
        if not known.days:
            return self._meeting(of_stall)
        if zone.key not in self._quiet:
            self._quiet[zone.key] = self._meeting(known)
        every = self._quiet[zone.key]
        if of_stall is known:
            return every
        return {
            day.date: [one for one in every.get(day.date, ()) if one.forbidden.meets(day.hours)]
            for day in of_stall.days
        }

    def _meeting(self, days: OpenDays) -> QuietByDay:
        groups, folder = self.written.quiet, self.path.parent
        return quiet_by_day(groups, days, days, folder, self.calendars, self._problems)

    def caps(self, stall: str) -> tuple[FairCapGroup, ...]:
        """The caps that hold for that stall; none is about what it does to itself."""
        return tuple(
            cap
            for cap in self.written.caps
            if (cap.stalls is None or stall in cap.stalls) and cap.at != stall
        )
