"""A day laid out in columns from left to right: hours, performances, quiet times and caps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Day, Performance, Piece, Span
from showtime.planning import Headroom

_HOUR = timedelta(hours=1)
_QUARTER = timedelta(minutes=15)
_A_HOUR = (60, 30, 20, 15, 12, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1)
"""How many columns an hour may have: the widest that fits is taken, round ones while it is wide."""


@dataclass(frozen=True, slots=True)
class Marks:
    """The characters that a strip is drawn with; `steps` go from nothing to a full cap."""

    start: str
    sounding: str
    several: str
    hush: str
    tick: str
    rule: str
    ornament: str
    hand: str
    leader: str
    now: str
    steps: str


PRINTED = Marks("◆", "━", "◈", "░", "╵", "═", "✦", "☞", ".", "▼", " ▁▂▃▄▅▆▇█")
TYPED = Marks("X", "x", "%", ":", "'", "=", "*", ">", ".", "v", " 123456789#")


@dataclass(frozen=True, slots=True)
class Strip:
    """The columns of a day, each `each` long; the last may reach past closing."""

    day: Day
    each: timedelta
    columns: int

    @classmethod
    def of(cls, day: Day, width: int) -> Strip:
        """The finest strip that is at most `width` columns wide."""
        length = day.hours.length
        for a_hour in _A_HOUR:
            each = _HOUR / a_hour
            columns = -(-length // each)
            if columns <= width:
                return cls(day, each, columns)
        return cls(day, length / width, width)

    def column(self, moment: datetime) -> int:
        return (moment - self.day.hours.start) // self.each

    def span(self, column: int) -> Span:
        """The time that a column stands for, as far as it is within the open hours."""
        begins = self.day.hours.start + column * self.each
        return Span(begins, min(begins + self.each, self.day.hours.end))

    def hours(self) -> Iterator[tuple[int, datetime]]:
        """The column at which each hour of the wall clock begins, closing time included."""
        opens = self.day.local(self.day.hours.start)
        into_quarter = timedelta(
            minutes=opens.minute % 15, seconds=opens.second, microseconds=opens.microsecond
        )
        moment = self.day.hours.start + (_QUARTER - into_quarter if into_quarter else timedelta(0))
        while moment <= self.day.hours.end:
            if not self.day.local(moment).minute:
                yield self.column(moment), moment
            moment += _QUARTER


def hour_figures(strip: Strip) -> str:
    """The hours of the wall clock above the columns at which they begin."""
    line = ""
    for column, moment in strip.hours():
        figure = f"{strip.day.local(moment):%H}"
        if column == 0 or len(line) < column:
            line = line.ljust(column) + figure
    return line


def hour_ticks(strip: Strip, marks: Marks) -> str:
    ticks = [" "] * (strip.columns + 1)
    for column, _ in strip.hours():
        ticks[column] = marks.tick
    return "".join(ticks)


def lane(strip: Strip, performances: Sequence[Performance], piece: Piece, marks: Marks) -> str:
    """Where `piece` plays, over the times in which nothing may sound."""
    columns = _hushed(strip, marks)
    played = [each for each in performances if each.piece == piece]
    for performance in played:
        for column in _touched(strip, performance.span):
            columns[column] = marks.sounding
    starts = [strip.column(each.starts) for each in played]
    for column in starts:
        if 0 <= column < strip.columns:
            columns[column] = marks.start if starts.count(column) == 1 else marks.several
    return "".join(columns)


def quiet_lane(strip: Strip, letters: dict[str, str], marks: Marks) -> str:
    """Where nothing may sound, each interval with the letter that its reason goes by."""
    columns = _hushed(strip, marks)
    for quiet in strip.day.quiet:
        touched = _touched(strip, quiet.span)
        if touched:
            columns[touched[len(touched) // 2]] = letters[quiet.why]
    return "".join(columns)


def cap_lane(strip: Strip, room: Headroom, marks: Marks) -> list[tuple[str, float]]:
    """For each column how full the cap is at most, as a mark and as a share of the limit."""
    found = []
    for column in range(strip.columns):
        share = room.share(room.highest_in(strip.span(column)))
        found.append((step(share, marks), share))
    return found


def step(share: float, marks: Marks) -> str:
    """The mark of a share; the full one only for a full cap, the empty one only for an empty."""
    full = len(marks.steps) - 1
    if share >= 1 - 1e-9:
        return marks.steps[full]
    return marks.steps[min(max(int(share * full), 1 if share > 0 else 0), full - 1)]


def _hushed(strip: Strip, marks: Marks) -> list[str]:
    columns = [" "] * strip.columns
    for quiet in strip.day.quiet:
        for column in _touched(strip, quiet.forbidden):
            columns[column] = marks.hush
    return columns


def _touched(strip: Strip, span: Span) -> range:
    """The columns that `span` shares some time with."""
    first = strip.column(span.start)
    last = -((strip.day.hours.start - span.end) // strip.each)
    return range(max(first, 0), min(last, strip.columns))
