"""Any budget as rows of numbers: what each performance adds to its level at a moment.

The level of a budget is linear in the performances at every moment, and it can only peak at
moments that belong to some performance, so finitely many rows say exactly that it is never
exceeded. A gauge knows the drain of its budget and nothing else of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from showtime.fair import Day, Piece
from showtime.fair.budgets import Budget, Leak, Never, Spend, Window
from showtime.planning.moments import SECOND, ticks

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Truths = NDArray[np.bool_]
Pair = tuple[int, int]  # a start, and the number of its piece

# A level may stand above its limit by this part of it: sums of floats are not exact.
HAIR = 1e-9


@dataclass(frozen=True)
class Playings:
    """Performances as arrays: starts and ends since opening, and the number of each piece."""

    starts: Ints
    ends: Ints
    piece: Ints

    def __len__(self) -> int:
        return len(self.starts)

    def pairs(self) -> list[Pair]:
        return list(zip(self.starts.tolist(), self.piece.tolist(), strict=True))

    def taken(self, which: Ints | Truths) -> Playings:
        return Playings(self.starts[which], self.ends[which], self.piece[which])

    def joined(self, other: Playings) -> Playings:
        return Playings(
            np.concatenate([self.starts, other.starts]),
            np.concatenate([self.ends, other.ends]),
            np.concatenate([self.piece, other.piece]),
        )


@dataclass(frozen=True)
class Rates:
    """Per number of piece: spent at a start, and per second of sound beyond what rest spends."""

    at_start: Floats
    beyond_rest: Floats
    rest: float

    @property
    def plain(self) -> bool:
        """True when sound never spends less than rest does: leaving out never raises a level."""
        return bool((self.beyond_rest >= 0).all())


class Gauge(Protocol):
    """A budget's level as numbers, for performances of known pieces."""

    @property
    def budget(self) -> Budget: ...
    @property
    def rates(self) -> Rates: ...

    def peaks(self, playings: Playings) -> Ints:
        """Moments at one of which the level is highest, whichever of `playings` are chosen."""

    def bends(self, playings: Playings) -> Ints:
        """Moments between which the level of `playings` neither jumps nor turns, in order."""

    def added(self, moments: Ints, playings: Playings) -> Floats:
        """What each performance (column) adds to the level at each moment (row)."""

    def resting(self, moments: Ints) -> Floats:
        """The level at each moment were nothing performed at all."""


def _rates(budget: Budget, pieces: tuple[Piece, ...]) -> Rates:
    spends: list[Spend] = [budget.spend(piece) for piece in pieces]
    rest = budget.resting
    return Rates(
        np.array([spend.at_start for spend in spends]),
        np.array([spend.per_second - rest for spend in spends]),
        rest,
    )


@dataclass(frozen=True)
class WindowGauge:
    """Moment s stands for the span [s, s + width): what is spent in it.

    The sum of sounding time in a sliding span is piecewise linear: it peaks where the span
    begins with a sound or ends with one. Spends at a start jump: the span then begins with it,
    or (where both kinds are spent) has it as its last instant.
    """

    budget: Budget
    rates: Rates
    width: int
    closes: int

    def peaks(self, playings: Playings) -> Ints:
        moments = [playings.starts]
        if self.rates.beyond_rest.any():
            moments.append(playings.ends - self.width)
            if self.rates.at_start.any():
                moments.append(playings.starts - self.width + 1)
        if not self.rates.plain or self.rates.rest or self.budget.initial:
            moments += [playings.ends, playings.starts - self.width, np.zeros(1, np.int64)]
        return np.unique(np.concatenate(moments))

    def bends(self, playings: Playings) -> Ints:
        events = np.concatenate([playings.starts, playings.ends, [0, self.closes]])
        return np.unique(np.concatenate([events, events - self.width]))

    def added(self, moments: Ints, playings: Playings) -> Floats:
        begins = moments[:, None]
        starts = playings.starts[None, :]
        total = np.zeros((len(moments), len(playings)))
        if self.rates.at_start.any():
            within = (begins <= starts) & (starts < begins + self.width)
            total += within * self.rates.at_start[playings.piece]
        if self.rates.beyond_rest.any():
            shared = np.minimum(playings.ends[None, :], begins + self.width)
            shared = (shared - np.maximum(starts, begins)).clip(0)
            total += shared * (self.rates.beyond_rest[playings.piece] / SECOND)
        return total

    def resting(self, moments: Ints) -> Floats:
        shared = np.minimum(moments + self.width, self.closes) - np.maximum(moments, 0)
        held = (moments <= 0) & (moments + self.width > 0)
        return shared.clip(0) / SECOND * self.rates.rest + held * self.budget.initial


@dataclass(frozen=True)
class LeakGauge:
    """The level at a moment, first-order lag; it is monotone between starts and ends.

    It begins at `since`: what was spent before is of no account, and no earlier moment is asked of.
    """

    budget: Budget
    rates: Rates
    time_constant: float
    closes: int
    since: int = 0

    def peaks(self, playings: Playings) -> Ints:
        moments = [playings.ends, np.array([self.since, max(self.closes, self.since)])]
        rising = self.rates.rest * self.time_constant > self.budget.initial
        if self.rates.at_start.any() or not self.rates.plain or rising:
            moments.append(playings.starts)
        return self._from_then(np.concatenate(moments))

    def bends(self, playings: Playings) -> Ints:
        ends = [self.since, self.closes]
        return self._from_then(np.concatenate([playings.starts, playings.ends, ends]))

    def _from_then(self, moments: Ints) -> Ints:
        # A day that is not begun may hold facts from before its opening, but only a known level
        # makes what lies before it go.
        return np.unique(np.maximum(moments, self.since) if self.since else moments)

    def added(self, moments: Ints, playings: Playings) -> Floats:
        starts, ends = playings.starts, playings.ends
        if self.since:
            starts, ends = np.maximum(starts, self.since), np.maximum(ends, self.since)
        since_start = (moments[:, None] - starts[None, :]) / SECOND
        since_end = (moments[:, None] - ends[None, :]) / SECOND
        begun = since_start >= 0
        left = np.exp(-since_start.clip(0) / self.time_constant)
        sound = np.exp(-since_end.clip(0) / self.time_constant) - left
        net = self.rates.beyond_rest[playings.piece] * self.time_constant
        at_start = self.rates.at_start[playings.piece]
        if self.since:
            at_start = at_start * (playings.starts >= self.since)
        return np.asarray(begun * (net * sound + at_start * left))

    def resting(self, moments: Ints) -> Floats:
        target = self.rates.rest * self.time_constant
        left = np.exp(-(moments - self.since).clip(0) / SECOND / self.time_constant)
        return np.asarray(target + (self.budget.initial - target) * left)


@dataclass(frozen=True)
class NeverGauge:
    """What the whole day spends; the one moment is the day's end."""

    budget: Budget
    rates: Rates
    closes: int

    def peaks(self, playings: Playings) -> Ints:
        return np.array([self.closes])

    def bends(self, playings: Playings) -> Ints:
        return self.peaks(playings)

    def added(self, moments: Ints, playings: Playings) -> Floats:
        lasts = (playings.ends - playings.starts) / SECOND
        total = self.rates.at_start[playings.piece]
        total = total + self.rates.beyond_rest[playings.piece] * lasts
        return np.asarray(np.tile(total, (len(moments), 1)))

    def resting(self, moments: Ints) -> Floats:
        whole = self.budget.initial + self.rates.rest * self.closes / SECOND
        return np.full(len(moments), whole)


def gauge(budget: Budget, day: Day, pieces: tuple[Piece, ...]) -> Gauge:
    """The gauge for a budget's drain."""
    rates = _rates(budget, pieces)
    closes = ticks(day.hours.length)
    match budget.drain:
        case Window(width):
            return WindowGauge(budget, rates, ticks(width), closes)
        case Leak(time_constant, since):
            begins = 0 if since is None else ticks(since - day.hours.start)
            return LeakGauge(budget, rates, time_constant.total_seconds(), closes, begins)
        case Never():
            return NeverGauge(budget, rates, closes)
