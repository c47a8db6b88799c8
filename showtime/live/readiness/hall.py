"""The line to the rest of the hall: is it reached? The day runs without it: nobody is held up."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

from showtime.live.hall import Hall
from showtime.live.readiness.check import Lines, look, ok

NAME = "hall"
_NOD = 0.05
_AT_ONCE = 0.3
"""Seconds after which a line that has just been opened may say that it is well."""


@dataclass(frozen=True)
class HallLine:
    """The fair's network of a stall that joins it at `broker`; opened only to be tried.

    `within`: after so many seconds it counts as not reached.
    """

    broker: str
    opens: Callable[[], Hall]
    monotonic: Callable[[], float]
    within: float = 4.0

    def judge(self) -> Lines:
        hall, begun, never = self.opens(), self.monotonic(), threading.Event()
        try:
            hall.listen(lambda word: None)
            never.wait(min(_AT_ONCE, self.within))
            while hall.trouble and self.monotonic() - begun < self.within:
                never.wait(_NOD)
            trouble = hall.trouble
        finally:
            hall.close()
        if trouble:
            return [look(NAME, trouble, "the day runs without it; ask the organiser")]
        return [ok(NAME, f"the fair's network is reached at {self.broker}")]
