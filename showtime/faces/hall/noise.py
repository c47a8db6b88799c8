"""How loud all others are together at each stall over the day: estimates, and what is allowed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import log10
from textwrap import wrap

from showtime.faces.hall.axis import LEFT, RIGHT, Axis, lane_name
from showtime.faces.hall.joint import Heard, Joint
from showtime.faces.hall.words import CAUTION, hall_clock
from showtime.faces.report.drawing import WIDE, box, line, picture, style, words
from showtime.fair.hall import HallDay

_ROW = 92.0
_TITLE = 44.0
_LINE = 120
_COLUMNS = 350
"""A level is drawn as the highest in each of so many stretches of the day, so that none is lost."""


def noise(joint: Joint) -> str:
    """How loud it is at each stall over the day, each beside its limit."""
    return _drawn(joint, 0, ())


def noise_file(joint: Joint) -> bytes:
    """The same as a file of its own: it brings its colours, its title and the caution along."""
    hall = joint.hall
    title = f"{hall.fair}, {hall.date.isoformat()}: noise at each stall, estimated"
    caution = wrap(CAUTION, _LINE)
    around = [words(24, 32, title, size=22)]
    drawn = _drawn(joint, _TITLE, around, caution)
    before, mark, after = drawn.partition(">")
    look = f"<style>{style()}.f-paper{{fill:#fff}}</style>"
    paper = look + box(0, 0, WIDE, 1e5, "paper")
    return f"{before}{mark}{paper}{after}".encode("utf-8", "replace")


def _drawn(joint: Joint, top: float, around: Sequence[str], below: Sequence[str] = ()) -> str:
    hall, heard = joint.hall, [each for those in joint.heard for each in those]
    axis = Axis(hall)
    scale = _Decibels.of(heard)
    high = top + 34 + _ROW * len(heard) + 6

    def marks() -> Iterator[str]:
        yield from around
        yield from axis.ticks(top + 26, high - 6, top + 18)
        for row, each in enumerate(heard):
            yield from _heard(hall, axis, scale, each, top + 30 + _ROW * row)
        for row, words_below in enumerate(below):
            yield words(24, high + 18 + 18 * row, words_below, size=14, ink="faint")

    told = "; ".join(loudest(hall, each) for each in heard)
    whole = high + (26 + 18 * len(below) if below else 0)
    return picture("Noise at each stall, estimated", f"{told}.", whole, marks())


def loudest(hall: HallDay, heard: Heard) -> str:
    """`The Tin Orchard: at most 58.2 dBA at 14:20 over any 60 min, allowed are 62`."""
    top, stretch = heard.loudest, heard.stretch
    allowed = f", allowed are {heard.rule.limit_dba:g}" if heard.rule else ""
    if top is None:
        return f"{heard.stall}: no sound of others{allowed}"
    at = hall_clock(hall, top.at)
    return f"{heard.stall}: at most {top.level:.1f} dBA at {at} over {stretch}{allowed}"


@dataclass(frozen=True, slots=True)
class _Decibels:
    """The same scale for all lanes: what is below it is not drawn."""

    low: float
    high: float

    @classmethod
    def of(cls, heard: Sequence[Heard]) -> _Decibels:
        tops = [each.loudest.level for each in heard if each.loudest]
        limits = [each.rule.limit_dba for each in heard if each.rule]
        top = max([*tops, *limits], default=60.0)
        high = 5 * (top // 5 + 1)
        return cls(high - 40, high)

    def y(self, level: float, top: float) -> float:
        share = min(max((level - self.low) / (self.high - self.low), 0.0), 1.0)
        return top + (_ROW - 16) * (1 - share)


def _heard(hall: HallDay, axis: Axis, scale: _Decibels, heard: Heard, top: float) -> Iterator[str]:
    number, bottom = hall.number(heard.stall), top + _ROW - 16
    peak = heard.loudest
    yield lane_name(number, heard.stall, top + 16)
    over = peak is not None and heard.rule is not None and peak.level > heard.rule.limit_dba + 1e-6
    loud = f"at most {peak.level:.1f} dBA" if peak else "nothing is heard"
    ink = "red" if over else "faint"
    yield words(LEFT - 10, top + 36, loud, size=14, ink=ink, anchor="end")
    if heard.rule is not None:
        allowed = f"allowed {heard.rule.limit_dba:g} in {heard.stretch}"
        yield words(LEFT - 10, top + 54, allowed, size=14, ink="faint", anchor="end")
    yield line([(LEFT, bottom), (RIGHT, bottom)], "faint", 0.8)
    for points in _curves(axis, scale, heard, top):
        yield line(points, "green", 2)
    if heard.rule is not None:
        y = scale.y(heard.rule.limit_dba, top)
        yield line([(LEFT, y), (RIGHT, y)], "red", 1.6, "6 4")
    for level in (scale.low, scale.high - 20, scale.high):
        yield words(RIGHT + 4, scale.y(level, top) + 5, f"{level:g}", size=12, ink="faint")


def _curves(
    axis: Axis, scale: _Decibels, heard: Heard, top: float
) -> Iterator[list[tuple[float, float]]]:
    """The level as lines, with gaps where it is below the scale."""
    wide = (RIGHT - LEFT) / _COLUMNS
    run: list[tuple[float, float]] = []
    for column, level in enumerate([*_columns(axis.hall, heard), None]):
        if level is not None and level >= scale.low:
            x, y = LEFT + column * wide, scale.y(level, top)
            run += [(x, y)] if run else [(x, top + _ROW - 16), (x, y)]
            run.append((x + wide, y))
        elif run:
            yield [*run, (run[-1][0], top + _ROW - 16)]
            run = []


def _columns(hall: HallDay, heard: Heard) -> list[float | None]:
    """The highest level in each stretch of the day; None where nothing is heard.

    Between two points the energy, not the level, runs straight.
    """
    found: list[float | None] = [None] * _COLUMNS
    each = hall.hours.length / _COLUMNS

    def put(column: int, level: float) -> None:
        if 0 <= column < _COLUMNS and level > heard.floor_dba:
            found[column] = max(level, found[column] or level)

    def place(moment: datetime) -> float:
        return (moment - hall.hours.start) / each

    for before, after in zip(heard.points, heard.points[1:], strict=False):
        left, right = place(before.at), place(after.at)
        put(min(int(left), _COLUMNS - 1), before.level)
        put(min(int(right), _COLUMNS - 1), after.level)
        for edge in range(int(left) + 1, int(right) + 1):
            share = (edge - left) / (right - left)
            energy = (1 - share) * 10 ** (before.level / 10) + share * 10 ** (after.level / 10)
            put(edge, 10 * log10(energy))
            put(edge - 1, 10 * log10(energy))
    return found
