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
from math import log10

import numpy as np
from numpy.typing import NDArray

from showtime.fair import Performance
from showtime.fair.hall import HallDay
from showtime.planning.course import Point

Floats = NDArray[np.float64]
Times = NDArray[np.int64]

FLOOR_DBA = 0.0
"""The level that a course tells where there is less, or nothing: the threshold of hearing."""

_NEAREST_M = 0.01
"""Stalls in one and the same place are taken to be this far apart."""

_MICROSECOND = timedelta(microseconds=1)
_DRAWN_EVERY = 60 * 10**6
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


def _passed(marks: Times, until: Times) -> Times:
    """The time since each of `marks` (in order), summed over those that lie before `until`."""
    sums = np.concatenate([np.zeros(1, np.int64), np.cumsum(marks)])
    count = np.searchsorted(marks, until, side="right")
    return np.asarray(count * until - sums[count], dtype=np.int64)


class Din:
    """What is heard in a hall of the performances given, at every stall."""

    def __init__(self, hall: HallDay, performances: Sequence[Sequence[Performance]]) -> None:
        self._hall = hall
        self._sources = list(_sources(hall, performances))
        self._distances = np.array(
            [
                [max(one.distance_m(other), _NEAREST_M) for other in hall.places]
                for one in hall.places
            ]
        ).reshape(len(hall.places), len(hall.places))

    def moment(self, at: datetime) -> int:
        return (at - self._hall.hours.start) // _MICROSECOND

    def instant(self, moment: int) -> datetime:
        return self._hall.hours.start + moment * _MICROSECOND

    def turns(self, over: timedelta) -> Times:
        """The moments at which a level over that stretch may begin to rise or fall otherwise."""
        width = over // _MICROSECOND
        marks = [np.concatenate([one.starts, one.ends]) for one in self._sources]
        every = np.concatenate([np.zeros(0, np.int64), *marks])
        return np.unique(np.concatenate([every, every + width]))

    def energies(self, stalls: Sequence[int], over: timedelta, ends: Times) -> Floats:
        """At each of `stalls` (rows), in the stretches that end then: seconds of 0 dBA."""
        return self._heard(stalls) @ self._seconds(over // _MICROSECOND, ends)

    def energies_in_parts(
        self, stalls: Sequence[int], over: timedelta, ends: Times
    ) -> Iterator[tuple[Times, Floats]]:
        """The same for many moments, a part of them at a time."""
        heard = self._heard(stalls)
        for begin in range(0, len(ends), _COLUMNS):
            part = ends[begin : begin + _COLUMNS]
            yield part, heard @ self._seconds(over // _MICROSECOND, part)

    def shares(self, stall: int, over: timedelta, end: int) -> list[tuple[float, int]]:
        """Who is heard at `stall` in the stretch that ends then: seconds of 0 dBA, most first."""
        seconds = self._seconds(over // _MICROSECOND, np.array([end], dtype=np.int64))
        energies = self._heard([stall])[0] * seconds[:, 0]
        by_stall: dict[int, float] = {}
        for source, energy in zip(self._sources, energies.tolist(), strict=True):
            by_stall[source.stall] = by_stall.get(source.stall, 0.0) + energy
        return sorted(((e, one) for one, e in by_stall.items() if e > 0), key=_loudest_first)

    def _heard(self, stalls: Sequence[int]) -> Floats:
        """What each source (columns) brings to each of these stalls (rows) per second."""
        by = np.array([source.stall for source in self._sources], dtype=np.int64)
        power = np.array([source.power for source in self._sources])
        rows = np.array(stalls, dtype=np.int64)
        heard = power[None, :] / self._distances[rows][:, by] ** 2
        heard[rows[:, None] == by[None, :]] = 0.0
        return np.asarray(heard, dtype=np.float64)

    def _seconds(self, width: int, ends: Times) -> Floats:
        """How long each source (rows) sounds in the stretches of that width that end then."""
        found = np.empty((len(self._sources), len(ends)))
        for row, source in enumerate(self._sources):
            found[row] = (source.sounded(ends) - source.sounded(ends - width)) / 1e6
        return found


def _loudest_first(share: tuple[float, int]) -> tuple[float, int]:
    return -share[0], share[1]


def _sources(hall: HallDay, performances: Sequence[Sequence[Performance]]) -> Iterator[_Source]:
    opens = hall.hours.start
    for stall, given in enumerate(performances):
        for level in sorted(
            {one.piece.level_dba for one in given} - {None}, key=lambda it: it or 0
        ):
            if level is None:
                continue
            mine = [one for one in given if one.piece.level_dba == level]
            starts = sorted((one.starts - opens) // _MICROSECOND for one in mine)
            ends = sorted((one.ends - opens) // _MICROSECOND for one in mine)
            yield _Source(
                stall, 10 ** (level / 10), np.array(starts, np.int64), np.array(ends, np.int64)
            )


def noise_course(
    hall: HallDay, performances: Sequence[Sequence[Performance]], stall: str, over: timedelta
) -> tuple[Point, ...]:
    """The energy-mean level (dBA) of all others at `stall`, over the `over` that ends then.

    From the hall's opening to its closing, at every moment where its run may turn, and each minute.
    Where less is heard than FLOOR_DBA, or nothing, it tells FLOOR_DBA. KeyError: no such stall;
    ValueError: `over` is no stretch of time.
    """
    if over <= timedelta(0):
        raise ValueError(f"a mean level is over a stretch of time, not over {over}")
    number, din = hall.number(stall), Din(hall, performances)
    closes = hall.hours.length // _MICROSECOND
    minutes = np.arange(0, closes, _DRAWN_EVERY)
    marks = np.unique(np.concatenate([minutes, [0, closes], din.turns(over)]).astype(np.int64))
    marks = marks[(marks >= 0) & (marks <= closes)]
    energies = din.energies([number], over, marks)[0] / over.total_seconds()
    return tuple(
        Point(din.instant(at), max(FLOOR_DBA, 10 * log10(energy)) if energy > 0 else FLOOR_DBA)
        for at, energy in zip(marks.tolist(), energies.tolist(), strict=True)
    )
