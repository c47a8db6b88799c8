"""How loud all other stalls are together at a stall, over a rolling stretch of time.

The energy sum of incoherent sources in a free field: each sounds with 10^(L/10) at 1 m, and by the
square of the distance less further away (ISO 9613-2, divergence of a point source); the mean is
that of energy over time (ISO 1996-1). An estimate: a hall adds reflections.
Times are whole microseconds from the hall's opening, so that what has sounded is counted exactly;
only energies are floats, and all sums are of what is not negative.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from showtime.fair import Performance
from showtime.fair.hall import HallDay
from showtime.planning.course import Point
from showtime.planning.moments import MICRO, MINUTE, ticks

Floats = NDArray[np.float64]
Times = NDArray[np.int64]

FLOOR_DBA = 0.0
"""The level that a course tells where there is less, or nothing: the threshold of hearing."""

_NEAREST_M = 0.01
"""Stalls in one and the same place are taken to be this far apart."""

_COLUMNS = 1024


@dataclass(frozen=True)
class _Source:
    """All that one stall plays at one level. `power`: 1 for 0 dBA at 1 m."""

    stall: int
    power: float
    starts: Times
    ends: Times

    def sounded(self, until: Times) -> Times:
        """How long it has sounded before each of these moments."""
        return _passed(self.starts, until) - _passed(self.ends, until)

    def sounded_within(self, begins: int, ends: int) -> int:
        spans = np.minimum(self.ends, ends) - np.maximum(self.starts, begins)
        return int(np.maximum(spans, 0).sum())


def _passed(marks: Times, until: Times) -> Times:
    """The time since each of `marks` (in order), summed over those that lie before `until`."""
    sums = np.concatenate([np.zeros(1, np.int64), np.cumsum(marks)])
    count = np.searchsorted(marks, until, side="right")
    return np.asarray(count * until - sums[count], dtype=np.int64)


class Hearing:
    """What is heard in a hall of the performances given, at every stall."""

    def __init__(self, hall: HallDay, performances: Sequence[Sequence[Performance]]) -> None:
        self._hall = hall
        self._sources = list(_sources(hall, performances))
        x_m = np.array([place.x_m for place in hall.places])
        y_m = np.array([place.y_m for place in hall.places])
        apart = np.hypot(x_m[:, None] - x_m[None, :], y_m[:, None] - y_m[None, :])
        self._distances: Floats = np.maximum(apart, _NEAREST_M)

    def moment(self, at: datetime) -> int:
        return ticks(at - self._hall.hours.start)

    def instant(self, moment: int) -> datetime:
        return self._hall.hours.start + moment * MICRO

    def turns(self, over: timedelta) -> Times:
        """The moments at which a level over that stretch may begin to rise or fall otherwise."""
        marks = [np.concatenate([one.starts, one.ends]) for one in self._sources]
        every = np.concatenate([np.zeros(0, np.int64), *marks])
        return np.unique(np.concatenate([every, every + ticks(over)]))

    def energies(self, stalls: Sequence[int], begins: Times, ends: Times) -> Floats:
        """At each of `stalls` (rows), from each begin to its end: seconds of 0 dBA."""
        return self._heard(stalls) @ self._seconds(begins, ends)

    def loudest(self, stalls: Sequence[int], begins: Times, ends: Times) -> Floats:
        """At each of `stalls` the most that is heard in any of these stretches."""
        heard, found = self._heard(stalls), np.zeros(len(stalls))
        for first in range(0, len(ends), _COLUMNS):
            part = slice(first, first + _COLUMNS)
            energies = heard @ self._seconds(begins[part], ends[part])
            found = np.maximum(found, energies.max(axis=1, initial=0.0))
        return found

    def shares(self, stall: int, begins: int, ends: int) -> list[tuple[float, int]]:
        """Who is heard at `stall` in that stretch: seconds of 0 dBA, most first."""
        by_stall: dict[int, float] = {}
        for source, power in zip(self._sources, self._heard([stall])[0].tolist(), strict=True):
            if power:
                seconds = source.sounded_within(begins, ends) / 1e6
                by_stall[source.stall] = by_stall.get(source.stall, 0.0) + power * seconds
        return sorted(((e, one) for one, e in by_stall.items() if e > 0), key=_loudest_first)

    def _heard(self, stalls: Sequence[int]) -> Floats:
        """What each source (columns) brings to each of these stalls (rows) per second."""
        by = np.array([source.stall for source in self._sources], dtype=np.int64)
        power = np.array([source.power for source in self._sources])
        rows = np.array(stalls, dtype=np.int64)
        heard = power[None, :] / self._distances[rows][:, by] ** 2
        heard[rows[:, None] == by[None, :]] = 0.0
        return np.asarray(heard, dtype=np.float64)

    def _seconds(self, begins: Times, ends: Times) -> Floats:
        """How long each source (rows) sounds in each of these stretches."""
        found = np.empty((len(self._sources), len(ends)))
        for row, source in enumerate(self._sources):
            found[row] = (source.sounded(ends) - source.sounded(begins)) / 1e6
        return found


def _loudest_first(share: tuple[float, int]) -> tuple[float, int]:
    return -share[0], share[1]


def _sources(hall: HallDay, performances: Sequence[Sequence[Performance]]) -> Iterator[_Source]:
    for stall, given in enumerate(performances):
        by_level: dict[float, list[Performance]] = {}
        for one in given:
            if one.piece.level_dba is not None:
                by_level.setdefault(one.piece.level_dba, []).append(one)
        for level, mine in by_level.items():
            starts = sorted(ticks(one.starts - hall.hours.start) for one in mine)
            ends = sorted(ticks(one.ends - hall.hours.start) for one in mine)
            power = 10 ** (level / 10)
            yield _Source(stall, power, np.array(starts, np.int64), np.array(ends, np.int64))


def noise_course(
    hall: HallDay, performances: Sequence[Sequence[Performance]], stall: str, over: timedelta
) -> tuple[Point, ...]:
    """The energy-mean level (dBA) of all others at `stall`, over the `over` that ends then.

    From the hall's opening to its closing, at every moment where its run may turn, and each minute.
    Where less is heard than FLOOR_DBA, or nothing, it tells FLOOR_DBA. KeyError: no such stall;
    ValueError: `over` is no stretch of time.
    """
    return noise_courses(hall, performances, [(stall, over)])[0]


def noise_courses(
    hall: HallDay,
    performances: Sequence[Sequence[Performance]],
    wanted: Sequence[tuple[str, timedelta]],
) -> list[tuple[Point, ...]]:
    """The same for several stalls, each over a stretch of its own; in the order wanted."""
    hearing = Hearing(hall, performances)
    places: dict[timedelta, list[tuple[int, int]]] = {}
    found: list[tuple[Point, ...]] = [()] * len(wanted)
    for place, (stall, over) in enumerate(wanted):
        places.setdefault(over, []).append((place, hall.number(stall)))
    for over, those in places.items():
        courses = _courses(hall, hearing, [number for _, number in those], over)
        for (place, _), points in zip(those, courses, strict=True):
            found[place] = points
    return found


def _courses(
    hall: HallDay, hearing: Hearing, stalls: Sequence[int], over: timedelta
) -> Iterator[tuple[Point, ...]]:
    if over <= timedelta(0):
        raise ValueError(f"a mean level is over a stretch of time, not over {over}")
    closes = ticks(hall.hours.length)
    minutes = np.arange(0, closes, MINUTE)
    marks = np.unique(np.concatenate([minutes, [0, closes], hearing.turns(over)]).astype(np.int64))
    marks = marks[(marks >= 0) & (marks <= closes)]
    moments = [hearing.instant(at) for at in marks.tolist()]
    floor = 10 ** (FLOOR_DBA / 10)
    means = hearing.energies(stalls, marks - ticks(over), marks) / over.total_seconds()
    for levels in (10 * np.log10(np.maximum(means, floor))).tolist():
        yield tuple(map(Point, moments, levels))
