"""The better rest of a disturbed day: looked for beside it, and taken over if it still fits."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from datetime import datetime

from showtime.fair import Performance
from showtime.live import events as happened
from showtime.live.keeper.changes import rearranged
from showtime.live.keeper.mend import breaks, performances, performed, slots
from showtime.live.state import DayState
from showtime.live.world import World


class Replanning:
    """Looks for it on a thread beside the day; what is better goes to `found`, under the lock."""

    def __init__(
        self,
        world: World,
        lock: threading.RLock,
        state: Callable[[], DayState],
        found: Callable[[Sequence[happened.Event]], None],
    ) -> None:
        self._world = world
        self._lock = lock
        self._state = state
        self._found = found

    def beside(self) -> None:
        """Begin to look for the best rest of the day as it stands now."""
        asked_of = self._state()
        self._world.beside(lambda: self._look(asked_of))

    def _look(self, asked_of: DayState) -> None:
        coming = self._world.replanner(asked_of, self._world.clock.now())
        with self._lock:
            events = taken_over(self._state(), asked_of, coming, self._world.clock.now())
            if events:
                self._found(events)


def taken_over(
    state: DayState, asked_of: DayState, coming: Sequence[Performance] | None, now: datetime
) -> tuple[happened.Event, ...]:
    """What it makes happen that `coming` was found for `asked_of`; nothing when there is nothing
    better, when the day has gone on, or when a promise or a rule would be broken meanwhile."""
    if coming is None or state.upcoming != asked_of.upcoming or slots(coming) == state.upcoming:
        return ()
    starts = {p.starts for p in performances(state.day, state.upcoming)}
    kept = starts.intersection(state.promised()) <= {p.starts for p in coming}
    day, played = state.to_plan, performed(state)
    sound = breaks(day, [*played, *coming]) <= breaks(day, played)
    return rearranged(state, now, coming, "") if kept and sound else ()
