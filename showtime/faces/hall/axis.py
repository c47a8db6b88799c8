"""The hall's hours from left to right across a drawing, with a lane for each stall."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.faces.report.drawing import line, words
from showtime.fair.hall import HallDay

LEFT, RIGHT = 236.0, 936.0
_NAMED = 27
_QUARTER = timedelta(minutes=15)


@dataclass(frozen=True, slots=True)
class Axis:
    """The hall's hours across the drawing."""

    hall: HallDay

    def x(self, moment: datetime) -> float:
        hours = self.hall.hours
        return LEFT + (RIGHT - LEFT) * min(max((moment - hours.start) / hours.length, 0.0), 1.0)

    def hours(self) -> list[datetime]:
        """Every full hour of the wall clock while the hall is open."""
        opens = self.hall.local(self.hall.hours.start)
        into = timedelta(
            minutes=opens.minute % 15, seconds=opens.second, microseconds=opens.microsecond
        )
        moment = self.hall.hours.start + (_QUARTER - into if into else timedelta(0))
        found = []
        while moment <= self.hall.hours.end:
            if not self.hall.local(moment).minute:
                found.append(moment)
            moment += _QUARTER
        return found

    def ticks(self, top: float, bottom: float, figures: float) -> Iterator[str]:
        hours = self.hours()
        every = max(1, len(hours) // 10)
        for place, hour in enumerate(hours):
            x = self.x(hour)
            yield line([(x, top), (x, bottom)], "band")
            if place % every == 0:
                shown = f"{self.hall.local(hour):%H:%M}"
                yield words(x, figures, shown, size=15, ink="faint", anchor="middle")


def lane_name(number: int, name: str, y: float) -> str:
    """The lane's name beside it, cut where it is too long."""
    shown = f"{number + 1} {name}"
    shown = shown if len(shown) <= _NAMED else f"{shown[: _NAMED - 1].rstrip()}…"
    return words(LEFT - 10, y, shown, size=15, anchor="end")
