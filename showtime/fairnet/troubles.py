"""What is odd about the line, in a line for whoever keeps the stall."""

from __future__ import annotations

from datetime import datetime

from showtime.fairnet.pace import Pace

_MOST = 50


class Troubles:
    """Each trouble stands until it is over; the oldest is told."""

    def __init__(self, pace: Pace) -> None:
        self._pace = pace
        self._odd: dict[str, str] = {}

    @property
    def line(self) -> str:
        return next(iter(tuple(self._odd.values())), "")

    def odd(self, key: str, line: str) -> None:
        if key in self._odd or len(self._odd) < _MOST:
            self._odd[key] = line

    def over(self, key: str) -> None:
        self._odd.pop(key, None)

    def nonsense(self, topic: str, line: str) -> None:
        """Something was said that means nothing, and was left out of account."""
        self.odd(f"nonsense {topic}", f"left out of account: {line}"[:300])

    def sense(self, topic: str) -> None:
        self.over(f"nonsense {topic}")

    def clock(self, name: str, theirs: datetime, ours: datetime) -> float:
        """Look at another's clock; by how many seconds it is ahead."""
        apart = (theirs - ours).total_seconds()
        if abs(apart) > self._pace.grace:
            ahead = "ahead of" if apart > 0 else "behind"
            self.odd(f"clock {name}", f"the clock of {name} is {abs(apart):.0f} s {ahead} ours")
        else:
            self.over(f"clock {name}")
        return apart
