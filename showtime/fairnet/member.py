"""A stall on the line, on whichever of its days is lived."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import datetime

from showtime.fair import Day, Span, Stall
from showtime.fair.hall import Joining
from showtime.fairnet.daymember import DayMember
from showtime.fairnet.pace import Pace
from showtime.live.clock import Clock
from showtime.live.hall import HallWord, Leave
from showtime.live.state import DayState


class Member:
    """The `Hall` of a stall's running day. It is reached in the background, and never waited for.

    At first it is on the line of today's date, or of the next day of the fair; a day that is
    followed and has another date has the line of that date.
    """

    def __init__(self, stall: Stall, joining: Joining, clock: Clock, pace: Pace = Pace()) -> None:
        self._joining, self._clock, self._pace = joining, clock, pace
        self._lock = threading.Lock()
        self._listeners: list[Callable[[HallWord], None]] = []
        self._line = DayMember(_lived(stall, clock.now()), joining, clock, pace)

    def listen(self, told: Callable[[HallWord], None]) -> None:
        with self._lock:
            self._listeners.append(told)
            line = self._line
        line.listen(told)

    def follow(self, state: DayState, now: datetime) -> None:
        if state.day.date != self._line.day.date:
            self._turn_to(state.day)
        self._line.follow(state, now)

    def leave(self, span: Span, now: datetime) -> Leave:
        return self._line.leave(span, now)

    @property
    def trouble(self) -> str:
        return self._line.trouble

    @property
    def is_up(self) -> bool:
        """True while leave is asked and given: what this stall says comes back by the line."""
        return self._line.is_up

    @property
    def follows(self) -> str:
        """Which plan of the organiser's this stall goes by; empty: none."""
        return self._line.follows

    def close(self) -> None:
        """Leave the line on purpose: nothing is claimed any more."""
        self._line.close()

    def _turn_to(self, day: Day) -> None:
        """Another day is lived from now on."""
        with self._lock:
            old, self._line = self._line, DayMember(day, self._joining, self._clock, self._pace)
            for told in self._listeners:
                self._line.listen(told)
        # Beside, as the last words wait for the broker.
        threading.Thread(target=old.close, name="leaving the line", daemon=True).start()


def _lived(stall: Stall, now: datetime) -> Day:
    """The day of today's date, else the next one, else the last."""
    today = now.astimezone(stall.signboard.timezone).date()
    coming = (day for day in stall.days if day.date >= today)
    return next(coming, stall.days[-1])
