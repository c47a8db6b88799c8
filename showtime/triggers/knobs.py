"""Two potentiometers -> an hour of twelve and a minute in steps of five.

Each knob's travel carries twelve marks, the first and the last at its stops. A reading is put on
that travel by the two ends that were measured, smoothed over a few readings, and belongs to the
nearest mark; it leaves a mark only by being moved, and well beyond half way to the next, so that
noise never makes it flicker. A time counts once both knobs have kept still for a second, and is
told once. How the knobs stand when the listening begins is no setting.

Readings are whole numbers of any range up to 65535, times whole microseconds on any axis that only
grows. This file is also the kit's: it keeps to what CPython and MicroPython share, and its numbers
fit in 30 bits, where MicroPython's small integers end.
"""

from collections import namedtuple

MARKS = 12
TRAVEL = 10_000
"""A knob's whole travel; all that follows is in parts of it."""

DEAD = 300
"""So much at either end still is the stop: potentiometers end in a dead zone, and the measured
ends may be a little off."""

HYSTERESIS = 200
"""So far beyond half way between two marks (which are 909 apart) a knob must go to change its mark:
twice the noise of 1 % that cheap converters show (common practice)."""

MOVING = 150
"""A knob that strays so far from where it rested has been moved: noise is less once it is smoothed.
Until then its mark stays, so that no knob changes by itself where it was left on an edge."""

SMOOTHING = 8
"""Readings that the smoothing reaches back, roughly."""

JUMP = 500
"""A reading that far from the smoothed place is a spark, or, if the next one is as far, a turn that
is followed at once."""

STILL = 1_000_000

Turned = namedtuple("Turned", ("hour", "minute", "at"))
"""An hour 1 to 12 and a minute 0, 5 to 55 that the knobs were turned to, and when it counted."""


class Knob:
    """One knob, wired either way round: `first` is its reading at the first mark, `last` at the
    last. They must differ.
    """

    def __init__(self, first: int, last: int) -> None:
        self._first = first
        self._last = last
        self._sum = -1  # SMOOTHING times the smoothed place; below 0: nothing read yet
        self._strange = False  # the reading before was far off
        self._anchor = 0
        self.mark = 0

    def read(self, reading: int) -> bool:
        """Take a reading in. True if the knob is being moved."""
        place = self._place(reading)
        if self._sum < 0:
            self._sum = place * SMOOTHING
            self._anchor = place
            self.mark = self._nearest(place)
            return True
        far = abs(place - self._sum // SMOOTHING) > JUMP
        if far and not self._strange:
            self._strange = True
            return False
        self._strange = False
        self._sum = place * SMOOTHING if far else self._sum + place - self._sum // SMOOTHING
        return self._follow(self._sum // SMOOTHING)

    def _follow(self, place: int) -> bool:
        """Take over a smoothed place. True if the knob is being moved."""
        if abs(place - self._anchor) <= MOVING:
            return False
        self._stand(place)
        return True

    def rest(self) -> None:
        """It has come to rest: where it stands now is where it must be moved from."""
        self._stand(self._sum // SMOOTHING)

    def _stand(self, place: int) -> None:
        self._anchor = place
        strayed = abs(place * (MARKS - 1) - self.mark * TRAVEL)
        if strayed > TRAVEL // 2 + HYSTERESIS * (MARKS - 1):
            self.mark = self._nearest(place)

    def _place(self, reading: int) -> int:
        """Where on the travel a reading is."""
        low, high = min(self._first, self._last), max(self._first, self._last)
        inside = min(max(reading, low), high)
        along = inside - low if self._first < self._last else high - inside
        place = along * TRAVEL // (high - low)
        return min(max(place - DEAD, 0) * TRAVEL // (TRAVEL - 2 * DEAD), TRAVEL)

    def _nearest(self, place: int) -> int:
        return (place * (MARKS - 1) + TRAVEL // 2) // TRAVEL


class Knobs:
    """Tells each time that the two knobs are turned to, once; again if they left it and came back.

    The ends are the readings at the first mark (one o'clock; the full hour) and at the last
    (twelve; five minutes to). Read both some 20 to 100 times a second.
    """

    def __init__(self, hour_ends: tuple[int, int], minute_ends: tuple[int, int]) -> None:
        self._hour = Knob(hour_ends[0], hour_ends[1])
        self._minute = Knob(minute_ends[0], minute_ends[1])
        self._moved = 0
        self._rested_at: tuple[int, int] | None = None
        self._told = False  # a time was told
        self._left = False  # and they have left it
        self.still = False

    @property
    def stands_at(self) -> tuple[int, int]:
        """Hour and minute as the knobs stand now, whether it counts or not."""
        return self._hour.mark + 1, self._minute.mark * 5

    def read(self, at: int, hour: int, minute: int) -> Turned | None:
        """Both knobs' readings. `still` tells afterwards whether they have rested for a second."""
        hour_moves = self._hour.read(hour)
        minute_moves = self._minute.read(minute)
        if self._told and self.stands_at != self._rested_at:
            self._left = True
        if hour_moves or minute_moves:
            self._moved = at
            self.still = False
        if self.still or at - self._moved < STILL:
            return None
        return self._rest(at)

    def _rest(self, at: int) -> Turned | None:
        """Both have come to rest."""
        self._hour.rest()
        self._minute.rest()
        self.still = True
        before, self._rested_at = self._rested_at, self.stands_at
        if before is None or (before == self._rested_at and not self._left):
            return None
        self._told = True
        self._left = False
        return Turned(self._rested_at[0], self._rested_at[1], at)
