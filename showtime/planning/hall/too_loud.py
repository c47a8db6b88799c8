"""The stretches of time in which it is too loud at a stall, and who makes it so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from showtime.fair import Performance, Span
from showtime.fair.budgets import Neighbour, Noise
from showtime.fair.hall import HallDay, HallNoise
from showtime.planning.course import exceeds
from showtime.planning.hall.naming import listed, shortened
from showtime.planning.hall.noise import Floats, Hearing, Times
from showtime.planning.moments import ticks
from showtime.planning.wallclock import clock

_NAMED = 3
"""No more stalls than these are named as the loudest; the rest are counted."""


@dataclass(frozen=True, slots=True)
class TooLoud:
    """At `stall` the limit of `noise` is passed, most over the stretch of time `worst`.

    `at`: the last start before it is passed, or the moment it is when nothing sounds then.
    `heard`: who sounds in `worst`, the loudest first, and with what energy there.
    """

    stall: int
    noise: HallNoise
    why: str
    at: datetime
    worst: Span
    limit: float
    heard: tuple[tuple[float, str], ...]

    def to_blame(self, but: str = "") -> tuple[str, ...]:
        """The loudest but for one: as many as would have to be silent for the limit to be kept."""
        found, left = [], [energy for energy, _ in self.heard]
        for energy, name in self.heard:
            if not exceeds(sum(left), self.limit):
                break
            if name != but:
                found.append(name)
                left.remove(energy)
        return tuple(found)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """The last turn `before` the limit is passed, the moment that it is, and the worst of it."""

    before: int
    passed: int
    begins: int
    ends: int
    energy: float


def measure(hall: HallDay, noise: HallNoise, stall: int) -> Noise:
    """The limit as a budget of what is heard at that stall: one source a metre away."""
    day = hall.days[stall]
    over = day.hours.length if noise.whole_day else noise.over
    at = Neighbour(day.signboard.stall, 1.0)
    because = noise.because
    return Noise(noise.limit_dba, at, over, whole_day=noise.whole_day, because=because)


def too_loud(hall: HallDay, performances: Sequence[Sequence[Performance]]) -> Iterator[TooLoud]:
    """Every stretch in which it is too loud somewhere, once."""
    hearing = Hearing(hall, performances)
    for noise in hall.noise:
        stalls = [number for number, name in enumerate(hall.names) if noise.holds_at(name)]
        for alike, begins, ends in _looked_at(hall, hearing, noise, stalls):
            for stall, stretch in _found(hall, hearing, noise, alike, begins, ends):
                yield _told(hall, performances, hearing, noise, stall, stretch)


def _looked_at(
    hall: HallDay, hearing: Hearing, noise: HallNoise, stalls: Sequence[int]
) -> Iterator[tuple[Sequence[int], Times, Times]]:
    """Stalls, and the stretches that say all of them: a level changes at one rate between turns.

    Over a day these are all from the stall's opening, in which the sum grows.
    """
    if not noise.whole_day:
        turns = hearing.turns(noise.over)
        yield stalls, turns - ticks(noise.over), turns
        return
    for hours in dict.fromkeys(hall.days[stall].hours for stall in stalls):
        opens, closes = hearing.moment(hours.start), hearing.moment(hours.end)
        turns = np.unique(hearing.turns(timedelta(0)).clip(opens, closes))
        alike = [stall for stall in stalls if hall.days[stall].hours == hours]
        yield alike, np.full_like(turns, opens), turns


def _found(
    hall: HallDay,
    hearing: Hearing,
    noise: HallNoise,
    stalls: Sequence[int],
    begins: Times,
    ends: Times,
) -> Iterator[tuple[int, _Stretch]]:
    limits = [measure(hall, noise, stall).limit for stall in stalls]
    loudest = hearing.loudest(stalls, begins, ends)
    loud = [(n, top) for n, most, top in zip(stalls, loudest, limits, strict=True) if most > top]
    courses = hearing.energies([stall for stall, _ in loud], begins, ends)
    for (stall, limit), energies in zip(loud, courses, strict=True):
        for stretch in _stretches(begins, ends, energies, limit):
            yield stall, stretch


def _stretches(begins: Times, turns: Times, energies: Floats, limit: float) -> Iterator[_Stretch]:
    """Runs of turns at which the level is above the limit, which it is not at the first."""
    found: _Stretch | None = None
    before, energy_before = int(begins[0]), 0.0
    for begin, turn, energy in zip(begins.tolist(), turns.tolist(), energies.tolist(), strict=True):
        if not exceeds(energy, limit):
            if found is not None:
                yield found
            found = None
        elif found is None:
            share = (limit - energy_before) / (energy - energy_before)
            passed = before + round((turn - before) * share)
            found = _Stretch(before, passed, begin, turn, energy)
        elif energy > found.energy:
            found = replace(found, begins=begin, ends=turn, energy=energy)
        before, energy_before = turn, energy
    if found is not None:
        yield found


def _told(
    hall: HallDay,
    performances: Sequence[Sequence[Performance]],
    hearing: Hearing,
    noise: HallNoise,
    stall: int,
    stretch: _Stretch,
) -> TooLoud:
    budget, day = measure(hall, noise, stall), hall.days[stall]
    heard = [each for number, given in enumerate(performances) if number != stall for each in given]
    heard = [each for each in heard if each.piece.level_dba is not None]
    shares = hearing.shares(stall, stretch.begins, stretch.ends)
    heard_of = tuple((energy, hall.names[one]) for energy, one in shares)
    figure = budget.shown(stretch.energy)
    if figure == budget.shown(budget.limit):
        figure = f"just over {figure}"
    when = "over the day"
    if not noise.whole_day:
        first = _first_heard(heard, hearing.instant(stretch.begins), hearing.instant(stretch.ends))
        when = f"between {clock(day, first)} and {clock(day, first + budget.over)}"
    at = _last_begun(heard, hearing.instant(stretch.before)) or hearing.instant(stretch.passed)
    worst = Span(hearing.instant(stretch.begins), hearing.instant(stretch.ends))
    found = TooLoud(stall, noise, "", at, worst, budget.limit, heard_of)
    blamed = {name: budget.shown(energy) for energy, name in heard_of}
    most = listed(shortened([f"{name} ({blamed[name]})" for name in found.to_blame()], _NAMED))
    why = f"{figure} at {hall.names[stall]} {when}, most of it from {most}; {budget.why}"
    return replace(found, why=why)


def _first_heard(heard: Sequence[Performance], begins: datetime, ends: datetime) -> datetime:
    """A full stretch reads best from the first thing in it; it holds as much from there."""
    inside = [each.starts for each in heard if each.starts <= ends and each.ends > begins]
    return max(begins, min(inside)) if inside else begins


def _last_begun(heard: Sequence[Performance], at: datetime) -> datetime | None:
    return max((each.starts for each in heard if each.starts <= at < each.ends), default=None)
