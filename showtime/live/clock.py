"""What a clock is, and those that look at the machine's own; the rest of the day is handed one."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Protocol

from showtime.fair import instant

if TYPE_CHECKING:
    from showtime.live.simulated import SimulatedClock
    from showtime.live.steady import SteadyClock

__all__ = ["Alarms", "Clock", "ShiftedClock", "SimulatedClock", "SteadyClock", "WallClock"]


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
    def realign(self) -> None:
        """The clock was put right, or stood still: wait for every instant anew."""

    def close(self) -> None: ...


class WallClock:
    """The machine's clock as it is: for questions at the desk, which are over in a moment."""

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


def __getattr__(name: str) -> object:
    """The clocks with files of their own: a question at the desk needs neither."""
    if name == "SteadyClock":
        from showtime.live.steady import SteadyClock

        return SteadyClock
    if name == "SimulatedClock":
        from showtime.live.simulated import SimulatedClock

        return SimulatedClock
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
