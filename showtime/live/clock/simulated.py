"""A machine and a clock in simulated time; to them happens whatever befalls real ones."""

from __future__ import annotations

import heapq
import threading
from collections.abc import Callable
from datetime import datetime, timedelta

from showtime.fair import instant
from showtime.live.clock.steady import Noticed, SteadyClock
from showtime.live.clock.trust import Reading, Trust, pretended

_NONE = timedelta(0)


class SimulatedMachine:
    """A Machine whose time passes only when it is told to. `true` is the time that it really is.

    It begins switched on with its system clock right, with no network. `battery` says whether a
    battery keeps its clock while it is off; `built` is the date of the program's files on it.
    """

    def __init__(
        self,
        true: datetime,
        *,
        battery: bool = True,
        zone: timedelta = _NONE,
        built: datetime | None = None,
    ) -> None:
        self.true = instant(true)
        self.runs = 1
        self._battery = battery
        self._battery_ahead = _NONE
        self._zone = zone
        self._built = built
        self._ahead = _NONE
        self._boottime = timedelta(seconds=20)
        self._asleep = _NONE
        self._network = False

    def system(self) -> datetime:
        return self.true + self._ahead

    def boottime(self) -> timedelta:
        return self._boottime

    def monotonic(self) -> timedelta:
        return self._boottime - self._asleep

    def synchronised(self) -> bool:
        return self._network

    def read(self) -> Reading:
        return Reading(
            system=self.system(),
            synchronised=self._network,
            boottime=self._boottime,
            boot=f"run {self.runs}",
            battery=self.true + self._battery_ahead if self._battery else None,
            zone=self._zone,
            built=self._built,
        )

    def go_on(self, length: timedelta) -> None:
        """Time passes, awake."""
        self.true += length
        self._boottime += length

    def sleep_for(self, length: timedelta) -> None:
        """The lid is closed, and opened after `length`."""
        self.go_on(length)
        self._asleep += length

    def jump(self, by: timedelta) -> None:
        """The system clock is set by a person or a fault; the kernel then counts it as no longer
        synchronised."""
        self._ahead += by
        self._network = False

    def synchronise(self, wrong_by: timedelta = _NONE) -> None:
        """A network sets the system clock, and goes on to. Seldom the network itself is wrong."""
        self._network = True
        self._ahead = wrong_by

    def lose_network(self) -> None:
        """Nothing confirms the system clock any longer; it goes on as it was."""
        self._network = False

    def wake_with(self, date: datetime) -> None:
        """The clock on the battery is wrong, and the system clock took its time from it."""
        self._battery_ahead = self._ahead = instant(date) - self.true

    def lose_power(self, length: timedelta) -> None:
        """Off for `length`, and on again. Without a battery it wakes where it was switched off."""
        before = self.system()
        self.true += length
        self.runs += 1
        self._boottime, self._asleep = timedelta(seconds=20), _NONE
        self._network = False
        self._ahead = self._battery_ahead if self._battery else before - self.true


class SimulatedClock:
    """A clock that goes only where it is turned to, doing on the way whatever falls due.

    It is its own Alarms: those due are done in the order of their instants, each at its own; of
    one instant, in the order in which they were set. Its time is a SteadyClock's on a
    SimulatedMachine; what befalls the machine (`jump`, `sleep_for`, `synchronise`) is first told to
    `on_noticed`, then what fell due meanwhile is done, late.
    """

    def __init__(
        self,
        start: datetime,
        machine: SimulatedMachine | None = None,
        trust: Trust | None = None,
    ) -> None:
        self.machine = machine or SimulatedMachine(start)
        self.steady = SteadyClock(self.machine, trust or pretended(start))
        self.on_noticed: Callable[[Noticed], object] = lambda noticed: None
        self._queue: list[tuple[datetime, int, str]] = []
        self._due: dict[str, tuple[int, Callable[[], None]]] = {}
        self._number = 0

    def now(self) -> datetime:
        return self.steady.now()

    def monotonic(self) -> float:
        return self.steady.monotonic()

    def wait(self, stop: threading.Event, seconds: float) -> bool:
        self.turn_to(self.now() + timedelta(seconds=seconds))
        return stop.is_set()

    def set(self, key: str, moment: datetime, action: Callable[[], None]) -> None:
        self._number += 1
        self._due[key] = (self._number, action)
        heapq.heappush(self._queue, (instant(moment), self._number, key))

    def drop(self, key: str) -> None:
        self._due.pop(key, None)

    def realign(self) -> None:
        """Nothing to do: the alarms go by this clock itself."""

    def close(self) -> None:
        self._due.clear()
        self._queue.clear()

    def turn_to(self, moment: datetime) -> None:
        """Go on to `moment`, doing what falls due up to and including it."""
        moment = instant(moment)
        while self._queue and self._queue[0][0] <= max(moment, self.now()):
            due, number, key = heapq.heappop(self._queue)
            current = self._due.get(key)
            if current is None or current[0] != number:
                continue
            del self._due[key]
            self.machine.go_on(self.steady.away(due))
            current[1]()
        self.machine.go_on(self.steady.away(moment))

    def sleep_for(self, length: timedelta) -> None:
        """The machine sleeps, and the day with it."""
        self.machine.sleep_for(length)
        self.look()

    def jump(self, by: timedelta) -> None:
        """The system clock jumps."""
        self.machine.jump(by)
        self.look()

    def synchronise(self, wrong_by: timedelta = _NONE) -> None:
        """A network sets the system clock."""
        self.machine.synchronise(wrong_by)
        self.look()

    def set_to(self, moment: datetime) -> None:
        """The keeper sets the clock."""
        self._notice(self.steady.set_to(moment))

    @property
    def trust(self) -> Trust:
        return self.steady.trust

    def take_back(self) -> None:
        """The keeper's last setting was a mistake."""
        self.steady.take_back()

    def look(self) -> None:
        """What a house does each second: notice what befell the clocks."""
        noticed = self.steady.look()
        if noticed is not None:
            self._notice(noticed)

    def _notice(self, noticed: Noticed) -> None:
        self.on_noticed(noticed)
        self.turn_to(self.now())
