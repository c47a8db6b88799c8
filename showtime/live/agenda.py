"""The alarms of a running day: all that stands on its timetable, and the end of what plays."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial

from showtime.live.clock import Alarms
from showtime.live.events import Slot
from showtime.live.state import DayState
from showtime.live.timetable import Deed, Due, timetable


class Agenda:
    """Sets and drops alarms so that they are always those of the present state."""

    def __init__(
        self, alarms: Alarms, do: Callable[[Due], None], finish: Callable[[Slot], None]
    ) -> None:
        self._alarms = alarms
        self._do = do
        self._finish = finish
        self._due: frozenset[Due] = frozenset()
        self._plays: tuple[Slot, datetime] | None = None

    def follow(self, state: DayState, now: datetime) -> None:
        """From now on wait for what is due in this state."""
        wanted = timetable(state, now)
        for due in self._due - wanted:
            self._alarms.drop(str(due))
        # Of one instant, alarms are done as they were set: a start waits for nothing else.
        for due in sorted(wanted - self._due, key=lambda due: due.deed is not Deed.START):
            self._alarms.set(str(due), due.at, partial(self._do, due))
        self._due = wanted

    def plays(self, slot: Slot, until: datetime) -> None:
        """This piece has begun, and takes until then."""
        self._plays = slot, until
        self._alarms.set(f"finish {slot.starts}", until, partial(self._finish, slot))

    def put_off(self, slot: Slot, until: datetime) -> None:
        """This start, which is due, comes a little later."""
        due = Due(Deed.START, slot.starts, slot)
        self._alarms.set(str(due), until, partial(self._do, due))

    def clock_set(self, by: timedelta) -> None:
        """What plays takes no longer and no shorter for it that the clock was set."""
        if self._plays is not None and by:
            slot, until = self._plays
            self.plays(slot, until + by)

    def after_a_breath(self, moment: datetime, action: Callable[[], None]) -> None:
        self._alarms.set("look ahead", moment, action)

    def realign(self) -> None:
        self._alarms.realign()

    def close(self) -> None:
        for due in self._due:
            self._alarms.drop(str(due))
