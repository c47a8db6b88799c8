"""The running day as one stall of a hall: it does what the hall says, and lets the hall follow."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence

from showtime.live import events as happened
from showtime.live.hall import HallWord
from showtime.live.hallheard import hall_heard, hall_wants_plan, hush_begins
from showtime.live.state import DayState
from showtime.live.world import World

_TRIES = 5
"""So often a word is decided on beside a day that goes on, before it has to wait."""


class Neighbourly:
    """Makes the hall's words happen, in the order in which they come.

    Whoever tells a word must not hold what `follow` or `leave` wait for: both are called by the day
    while it holds its lock.
    """

    def __init__(
        self,
        world: World,
        lock: threading.RLock,
        state: Callable[[], DayState],
        happen: Callable[[Sequence[happened.Event]], None],
        replan: Callable[[], None],
    ) -> None:
        self._world = world
        self._lock = lock
        self._state = state
        self._happen = happen
        self._replan = replan
        self._listening = 0

    def listen(self) -> None:
        """From now on do what the hall says, and hear again what holds."""
        self._listening = listening = self._listening + 1

        def told(word: HallWord) -> None:
            if listening == self._listening:  # else it is told once more by the line than is heard
                self.says(word)

        self._world.hall.listen(told)

    def says(self, word: HallWord) -> None:
        """The hall says something, on any thread; promises are kept first, whatever it is.

        It is decided on beside the day, so that no press waits; if the day goes on meanwhile, anew.
        """
        for _ in range(_TRIES):
            before = self._state()
            events = self._heard(before, word)
            with self._lock:
                if self._state() is before:
                    self._do(before, events)
                    return
        with self._lock:
            before = self._state()
            self._do(before, self._heard(before, word))

    def _heard(self, state: DayState, word: HallWord) -> Sequence[happened.Event]:
        cut_off = bool(self._world.hall.trouble)
        return hall_heard(state, self._world.clock.now(), word, cut_off=cut_off)

    def _do(self, before: DayState, events: Sequence[happened.Event]) -> None:
        if events:
            self._happen(events)
        if hall_wants_plan(before, events):
            self._replan()

    def hush(self) -> None:
        """A quiet begins that was called for in time: what plays is stopped."""
        with self._lock:
            events = hush_begins(self._state(), self._world.clock.now())
            if events:
                self._happen(events)
                self._replan()

    def look(self) -> None:
        """The day has changed, or time has passed: the others are to know."""
        with self._lock:
            self._world.hall.follow(self._state(), self._world.clock.now())

    @property
    def trouble(self) -> str:
        """Why the hall is not reached; empty when it is, or when there is none around the stall."""
        return self._world.hall.trouble
