"""What all others together are heard with at each stall, as numbers over every stretch that counts.

The level of a limit can only peak in stretches that begin with some sound or end with one, so a
finite table says exactly that it is never exceeded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from showtime.fair.hall import HallDay, HallNoise, Place
from showtime.planning.gauges import HAIR, Floats, Ints, WindowGauge
from showtime.planning.hall.booths import Booth
from showtime.planning.moments import SECOND, ticks

NEAREST_M = 0.01
"""Stalls in one and the same place are taken to be this far apart."""


@dataclass(frozen=True)
class Din:
    """All limits that are over stretches of one kind, at every stall that they hold for.

    `begins` and `ends` are the stretches (columns), `room` per listener (row) the most energy in
    each, in seconds of 0 dBA. `spans` are the different sounds there are, `sounding` the seconds
    of each (row) within each stretch; `span` tells which a choice is. `loudest`: per stall, more
    energy than it can spend in any stretch.
    """

    listeners: Ints
    begins: Ints
    ends: Ints
    heard: Floats  # per listener (row) and stall: what of a stall's power comes there
    room: Floats
    sounding: Floats
    span: Ints
    loudest: Floats

    def energies(self, power: Floats, choices: Ints, stall: Ints) -> Floats:
        """Per listener and stretch: the energy of these choices, each of one stall."""
        there, row = np.unique(stall, return_inverse=True)
        own = np.zeros((len(there), self.sounding.shape[1]))
        for one in range(len(there)):
            mine = row == one
            own[one] = power[mine] @ self.sounding[self.span[choices[mine]]]
        return np.asarray(self.heard[:, there] @ own)

    def covering(self, begin: int, end: int) -> list[int]:
        """Stretches that between them hold all of the time from `begin` to `end`; as few as can be.

        What a stretch ends with belongs to the next: together they may hold more than all.
        """
        found = []
        while begin < end:
            there = np.flatnonzero((self.begins <= begin) & (self.ends > begin))
            if not len(there):
                return []
            furthest = int(there[np.argmax(self.ends[there])])
            found.append(furthest)
            begin = int(self.ends[furthest])
        return found


def dins(hall: HallDay, stands: Sequence[Booth], starts: Ints, ends: Ints) -> list[Din]:
    """One for each width of stretch, and one for limits over a whole day."""
    spans, span = np.unique(np.stack([starts, ends]), axis=1, return_inverse=True)
    span = np.asarray(span).reshape(-1)
    widths = {noise.over for noise in hall.noise if not noise.whole_day}
    found = []
    for over in sorted(widths):
        noises = [noise for noise in hall.noise if not noise.whole_day and noise.over == over]
        begins = np.unique(np.concatenate([spans[0], spans[1] - ticks(over)]))
        found.append(_din(hall, stands, noises, spans, span, begins, begins + ticks(over)))
    daily = [noise for noise in hall.noise if noise.whole_day]
    if daily:
        hours = {(booth.opens, booth.opens + booth.task.closes) for booth in stands}
        begins, finish = np.array(sorted(hours), dtype=np.int64).T
        found.append(_din(hall, stands, daily, spans, span, begins, finish))
    return found


def _din(
    hall: HallDay,
    stands: Sequence[Booth],
    noises: Sequence[HallNoise],
    spans: Ints,
    span: Ints,
    begins: Ints,
    ends: Ints,
) -> Din:
    shared = np.minimum(spans[1][:, None], ends) - np.maximum(spans[0][:, None], begins)
    room = np.array([_room(hall, stands[one], noises, begins, ends) for one in range(len(stands))])
    listeners = np.flatnonzero(np.isfinite(room).any(axis=1))
    heard = np.array([_heard(hall.places, one) for one in listeners.tolist()])
    heard = heard.reshape(len(listeners), len(stands))
    sounding = shared.clip(0) / SECOND
    width = int((ends - begins).max())
    loudest = np.array([_loudest(booth, width) for booth in stands])
    return Din(listeners, begins, ends, heard, room[listeners], sounding, span, loudest)


def _loudest(booth: Booth, width: int) -> float:
    """More energy than a stall can spend in any stretch of that width."""
    if not len(booth.allowed):
        return 0.0
    task = booth.task
    choices = task.choices.taken(booth.allowed)
    seconds, power = (choices.ends - choices.starts) / SECOND, booth.power[booth.allowed]
    most = width // int(task.engages[choices.piece].min()) + 2
    longest = min(most * float(seconds.max()), width / SECOND + 2 * float(seconds.max()))
    for gauge in task.gauges:
        rate = float(gauge.rates.beyond_rest.min())
        rested = gauge.rates.rest != 0 or gauge.budget.initial != 0
        if isinstance(gauge, WindowGauge) and gauge.width >= width and rate > 0 and not rested:
            longest = min(longest, gauge.budget.limit * (1 + HAIR) / rate)
    return longest * float(power.max())


def _room(
    hall: HallDay, booth: Booth, noises: Sequence[HallNoise], begins: Ints, ends: Ints
) -> Floats:
    """What may be heard at a stall in each stretch; infinity where nothing says."""
    room = np.full(len(begins), np.inf)
    for noise in noises:
        if not noise.holds_at(hall.names[booth.number]):
            continue
        there = np.ones(len(begins), dtype=np.bool_)
        if noise.whole_day:
            there = (begins == booth.opens) & (ends == booth.opens + booth.task.closes)
        limit = (ends - begins) / SECOND * 10 ** (noise.limit_dba / 10)
        room = np.where(there, np.minimum(room, limit + HAIR * limit), room)
    return room


def _heard(places: Sequence[Place], listener: int) -> Floats:
    here = places[listener]
    far = np.array([max(here.distance_m(other), NEAREST_M) for other in places])
    heard = 1.0 / far**2
    heard[listener] = 0.0
    return np.asarray(heard)
