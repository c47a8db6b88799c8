"""The one file that looks at the machine's clock, and its stand-ins."""

from __future__ import annotations

import heapq
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Protocol

from showtime.fair import instant


class Clock(Protocol):
    """What time it is, and how long to wait. Everything that needs either is handed one."""

    def now(self) -> datetime:
        """The present instant, in UTC."""

    def monotonic(self) -> float:
        """Seconds from some fixed moment; never runs backwards."""

    def wait(self, stop: threading.Event, seconds: float) -> bool:
        """Wait that long or until `stop` is set; True when it is set."""


class Alarms(Protocol):
    """Actions to be done at instants of a clock; an alarm set again under its key moves."""

    def set(self, key: str, moment: datetime, action: Callable[[], None]) -> None: ...
    def drop(self, key: str) -> None: ...
    def close(self) -> None: ...


class WallClock:
    """The machine's clock."""

    def now(self) -> datetime:
        return datetime.now(UTC)

    def monotonic(self) -> float:
        return time.monotonic()

    def wait(self, stop: threading.Event, seconds: float) -> bool:
        return stop.wait(seconds)


class ShiftedClock(WallClock):
    """A clock that shows `start` when it is made and then goes on at the usual pace."""

    def __init__(self, start: datetime) -> None:
        self._start = instant(start)
        self._made = time.monotonic()

    def now(self) -> datetime:
        return self._start + timedelta(seconds=time.monotonic() - self._made)


class SimulatedClock:
    """A clock that goes only where it is turned to, doing on the way whatever falls due.

    It is its own Alarms: those due are done in the order of their instants, each at its own.
    """

    def __init__(self, start: datetime) -> None:
        self._now = instant(start)
        self._queue: list[tuple[datetime, int, str]] = []
        self._due: dict[str, tuple[int, Callable[[], None]]] = {}
        self._number = 0

    def now(self) -> datetime:
        return self._now

    def monotonic(self) -> float:
        return self._now.timestamp()

    def wait(self, stop: threading.Event, seconds: float) -> bool:
        self.turn_to(self._now + timedelta(seconds=seconds))
        return stop.is_set()

    def set(self, key: str, moment: datetime, action: Callable[[], None]) -> None:
        self._number += 1
        self._due[key] = (self._number, action)
        heapq.heappush(self._queue, (instant(moment), self._number, key))

    def drop(self, key: str) -> None:
        self._due.pop(key, None)

    def close(self) -> None:
        self._due.clear()
        self._queue.clear()

    def turn_to(self, moment: datetime) -> None:
        """Go on to `moment`, doing what falls due up to and including it."""
        moment = instant(moment)
        while self._queue and self._queue[0][0] <= moment:
            due, number, key = heapq.heappop(self._queue)
            current = self._due.get(key)
            if current is None or current[0] != number:
                continue
            del self._due[key]
            self._now = max(self._now, due)
            current[1]()
        self._now = max(self._now, moment)
