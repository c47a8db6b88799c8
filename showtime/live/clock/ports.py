"""What a clock is, and what goes off by it. Whoever needs one is handed one."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import datetime
from typing import Protocol

from showtime.live.clock.trust import Trust


class Clock(Protocol):
    """What time it is, and how long to wait. Everything that needs either is handed one."""

    def now(self) -> datetime:
        """The present instant, in UTC."""

    def monotonic(self) -> float:
        """Seconds from some fixed moment; never runs backwards."""

    def wait(self, stop: threading.Event, seconds: float) -> bool:
        """Wait that long or until `stop` is set; True when it is set."""


class JudgedClock(Clock, Protocol):
    """A clock of which is known whether it can be believed."""

    @property
    def trust(self) -> Trust: ...


class KeptClock(JudgedClock, Protocol):
    """The clock of a live day, which its keeper may set."""

    def take_back(self) -> None:
        """The keeper's last setting was a mistake: go on as if it had never been."""


class Alarms(Protocol):
    """Actions to be done at instants of a clock; an alarm set again under its key moves."""

    def set(self, key: str, moment: datetime, action: Callable[[], None]) -> None: ...
    def drop(self, key: str) -> None: ...
    def realign(self) -> None:
        """The clock was put right, or stood still: wait for every instant anew."""

    def close(self) -> None: ...
