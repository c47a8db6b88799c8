"""The pictures of a day: how it ran, who asked when, how long people waited, how warm it got."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from showtime.faces.report.drawing import WIDE, box, diamond, line, picture, words
from showtime.faces.report.times import hhmm

Document = dict[str, Any]

_LEFT, _RIGHT = 110.0, 930.0
_BIN = 5
"""Minutes of waiting that share a column."""


def pictures(found: Document) -> list[tuple[str, str]]:
    """Each with its title, as SVG; those for which there is nothing to draw are left out."""
    drawn = [("How the day ran", _day(found)), ("Questions an hour", _asks(found))]
    if any(each is not None for each in found["waits"]["minutes"]):
        drawn.append(("How long those waited who asked", _waits(found)))
    if found["heat"] and len(found["heat"]["points"]) > 1:
        drawn.append(("The motors, estimated", _heat(found)))
    return drawn


def _moment(iso: str) -> datetime:
    return datetime.fromisoformat(iso)


class _Axis:
    """The open hours, and whatever happened outside them, across the picture."""

    def __init__(self, found: Document) -> None:
        self.hours = [_moment(row["hour"]) for row in found["asked"]["per_hour"]]
        self.begins = self.hours[0]
        # The wall clock may jump within an hour: ends are reckoned in real time.
        self._length = (_utc(self.hours[-1]) - _utc(self.begins)) + timedelta(hours=1)

    def x(self, iso: str) -> float:
        into = (_utc(_moment(iso)) - _utc(self.begins)) / self._length
        return _LEFT + (_RIGHT - _LEFT) * min(max(into, 0.0), 1.0)

    def ticks(self, top: float, bottom: float) -> Iterator[str]:
        every = max(1, len(self.hours) // 12)
        for place, hour in enumerate(self.hours):
            x = self.x(hour.isoformat())
            yield line([(x, top), (x, bottom)], "band")
            if place % every == 0:
                yield words(x, bottom + 18, f"{hour:%H:%M}", size=14, ink="faint", anchor="middle")


def _utc(moment: datetime) -> datetime:
    from datetime import UTC

    return moment.astimezone(UTC)


def _day(found: Document) -> str:
    axis = _Axis(found)
    played = found["performances"]

    def marks() -> Iterator[str]:
        for quiet in found["quiet"]:
            x = axis.x(quiet["from"])
            yield box(x, 16, axis.x(quiet["until"]) - x, 120, "band")
        yield from axis.ticks(16, 136)
        for row, name in ((36, "planned"), (76, "played"), (116, "incidents")):
            yield words(0, row + 5, name, size=15, ink="faint")
        for each in played:
            x = axis.x(each["planned"])
            yield line([(x, 24), (x, 48)], "green", 3)
            begins = axis.x(each["started"])
            ends = axis.x(each["ended"]) if each["ended"] else begins
            ink = "red" if each["interrupted"] else "green"
            yield box(begins, 62, max(ends - begins, 2), 28, ink)
        for each in found["not_played"]:
            x = axis.x(each["starts"])
            yield line([(x, 24), (x, 48)], "red", 3, "4 3")
        for each in found["incidents"]:
            yield diamond(axis.x(each["at"]), 112, 7, "red")

    told = (
        f"{len(played)} performances from {hhmm(found, found['opens'])} "
        f"to {hhmm(found, found['closes'])}: "
        + (", ".join(f"{hhmm(found, p['started'])} {p['piece']}" for p in played) or "none")
        + f"; {len(found['not_played'])} planned and not played, "
        f"{len(found['incidents'])} incidents."
    )
    return picture("How the day ran", told, 162, marks())


def _asks(found: Document) -> str:
    axis, rows = _Axis(found), found["asked"]["per_hour"]
    most = max([row["asks"] for row in rows] + [1])
    wide = (_RIGHT - _LEFT) / max(len(rows), 1)

    def marks() -> Iterator[str]:
        yield from axis.ticks(24, 164)
        for row in rows:
            high = 120 * row["asks"] / most
            x = axis.x(row["hour"])
            yield box(x + 4, 164 - high, wide - 8, high, "green")
            if row["asks"]:
                yield words(x + wide / 2, 158 - high, str(row["asks"]), size=15, anchor="middle")

    told = "; ".join(f"from {hhmm(found, row['hour'])}: {row['asks']}" for row in rows)
    return picture("Questions an hour", f"Questions an hour: {told}.", 190, marks())


def _waits(found: Document) -> str:
    waits = found["waits"]
    bins = Counter(int(each // _BIN) for each in waits["minutes"] if each is not None)
    last, most = max(bins), max(bins.values())
    wide = (_RIGHT - _LEFT) / (last + 1)

    def x(minutes: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * min(minutes / (_BIN * (last + 1)), 1.0)

    def marks() -> Iterator[str]:
        every = max(1, (last + 1) // 14)
        for each in range(last + 2):
            if each % every == 0:
                label = f"{each * _BIN}"
                yield words(x(each * _BIN), 222, label, size=14, ink="faint", anchor="middle")
        for each, count in sorted(bins.items()):
            high = 120 * count / most
            yield box(x(each * _BIN) + 2, 204 - high, wide - 4, high, "green")
            middle = x(each * _BIN) + wide / 2
            yield words(middle, 198 - high, str(count), size=14, anchor="middle")
        for mean, name, y, dash in (
            (waits["promised_mean"], "promised by the plan", 18, "6 4"),
            (waits["mean"], "had by those who asked", 40, ""),
        ):
            if mean is not None:
                yield line([(x(mean), y + 4), (x(mean), 204)], "red", 2, dash)
                right = x(mean) < WIDE * 0.6
                shift, anchor = (6, "start") if right else (-6, "end")
                said = f"{mean:.1f} min {name}"
                yield words(x(mean) + shift, y + 6, said, size=15, ink="red", anchor=anchor)
        yield words(_RIGHT, 240, "minutes to the next start", size=14, ink="faint", anchor="end")

    told = "; ".join(
        f"{each * _BIN} to {(each + 1) * _BIN} minutes: {count}"
        for each, count in sorted(bins.items())
    )
    return picture("How long those waited who asked", f"Waits: {told}.", 246, marks())


def _heat(found: Document) -> str:
    axis, heat = _Axis(found), found["heat"]
    points, limit = heat["points"], float(heat["limit_c"])
    low = min(float(heat["ambient_c"]), *(float(level) for _, level in points))
    high = max(limit, *(float(level) for _, level in points))

    def y(celsius: float) -> float:
        return 150 - 120 * (celsius - low) / max(high - low, 1.0)

    def marks() -> Iterator[str]:
        yield from axis.ticks(20, 154)
        yield line([(_LEFT, y(limit)), (_RIGHT, y(limit))], "red", 2, "6 4")
        yield words(100, y(limit) + 5, f"{limit:g} °C", size=15, ink="red", anchor="end")
        yield words(100, y(low) + 5, f"{low:g} °C", size=15, ink="faint", anchor="end")
        yield line([(axis.x(at), y(level)) for at, level in points], "green", 2.5)

    top = max(points, key=lambda point: point[1])
    told = (
        f"The motors' temperature, estimated: at most {top[1]:.1f} degrees "
        f"at {hhmm(found, top[0])}, the limit is {limit:g}."
    )
    return picture("The motors, estimated", told, 182, marks())
