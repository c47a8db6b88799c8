"""A whole day in simulated time: the same running day, invented visitors, a fallible keeper."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

from showtime.fair import Plan, Stall
from showtime.live.clock.simulated import SimulatedClock
from showtime.live.fold import fold
from showtime.live.incidents import Incident, incidents
from showtime.live.journal import Journal, Recorder
from showtime.live.keeper.mend import breaks, performed
from showtime.live.ledger import promises_at
from showtime.live.ports import IdleFigure, OwnAlarms, WordsOnly
from showtime.live.running import RunningDay
from showtime.live.state import DayState, Outcome, Promise
from showtime.live.world import Replanner, World
from showtime.wording import Bank

_EARLY = timedelta(minutes=15)
_LATE = timedelta(minutes=20)
_NOT_RULES_OF_THE_DAY = ("grid", "piece")


@dataclass(frozen=True, slots=True)
class Crowd:
    """Who comes, and how the day goes. Invented figures, for rehearsals only.

    Visitors ask `asks_an_hour` times on average, at random moments; of them a share of
    `children` press `presses` times. `incidents` is their chance for each planned performance.
    """

    asks_an_hour: float = 40.0
    children: float = 0.03
    presses: int = 20
    incidents: float = 0.2


@dataclass(frozen=True)
class Rehearsed:
    """What came of it. `broken` names each rule that the performances broke, and when.

    Left out are the start grid, which is for planning: what the keeper plays at once is off it;
    and that a piece that was stopped is shorter than it should be.
    """

    state: DayState
    broken: tuple[tuple[str, datetime], ...]
    ends: datetime

    @property
    def good(self) -> bool:
        """True when no rule and no promise was broken."""
        return not self.broken and not self.count(Outcome.BROKEN)

    @property
    def promises(self) -> tuple[Promise, ...]:
        """Every promise with what became of it by the end of the day."""
        return promises_at(self.state, self.state.last_at or self.ends)

    def count(self, outcome: Outcome) -> int:
        """How many promises for today had that outcome."""
        today = [promise for promise in self.promises if promise.told <= self.ends]
        return sum(promise.outcome is outcome for promise in today)

    @property
    def for_tomorrow(self) -> int:
        """Promises of the next day's first start: whether they are kept is not seen today."""
        return sum(promise.told > self.ends for promise in self.promises)


def rehearse(
    stall: Stall,
    plan: Plan,
    banks: Mapping[str, Bank],
    replanner: Replanner,
    *,
    seed: int,
    tomorrow: datetime | None = None,
    crowd: Crowd | None = None,
) -> Rehearsed:
    """Run the plan's day from before opening to after closing; the same seed, the same day."""
    crowd = crowd or Crowd()
    luck = random.Random(seed)
    hours = plan.day.hours
    clock = SimulatedClock(hours.start - _EARLY)
    practice = _Practice(stall, plan, banks, replanner, clock, luck.random())
    practice.begin(tomorrow)
    for number, moment in enumerate(_asks(hours.start - _EARLY, hours.end + _LATE, crowd, luck)):
        clock.set(f"visitor {number}", moment, practice.ask)
    for number, incident in enumerate(incidents(plan, crowd.incidents, luck)):
        clock.set(f"incident {number}", incident.at, partial(practice.befall, incident))
    clock.turn_to(hours.end + _LATE)
    return practice.over()


class _Practice:
    """The running day of a rehearsal; a power cut takes it away, and a new one resumes it."""

    def __init__(
        self,
        stall: Stall,
        plan: Plan,
        banks: Mapping[str, Bank],
        replanner: Replanner,
        clock: SimulatedClock,
        luck: float,
    ) -> None:
        self._fresh = DayState(plan.day, stall.keep_within)
        self._plan = plan
        self._clock = clock
        self._starts = 0
        self._luck = luck
        self._banks = banks
        self._replanner = replanner
        self._journal = Recorder(Journal())
        self._running: RunningDay | None = self._switched_on()

    def _switched_on(self) -> RunningDay:
        self._starts += 1
        self._alarms = OwnAlarms(self._clock, f"start {self._starts}")
        world = World(
            journal=self._journal,
            clock=self._clock,
            alarms=self._alarms,
            speech=WordsOnly(self._clock),
            figure=IdleFigure(),
            banks=self._banks,
            random=random.Random(f"{self._luck} {self._starts}"),
            replanner=self._replanner,
        )
        return RunningDay(self._fresh, world)

    def begin(self, tomorrow: datetime | None) -> None:
        if self._running is not None:
            self._running.begin(self._plan.performances, tomorrow)

    def ask(self) -> None:
        if self._running is not None:
            self._running.asked("visitor")

    def befall(self, incident: Incident) -> None:
        """Give the incident's orders; with the power off nobody hears them."""
        if self._running is None:
            return
        for words in incident.orders:
            self._running.tell(words)
        if incident.power:
            self._alarms.close()
            self._running = None
            self._clock.set("power", self._clock.now() + incident.power, self._power_returns)

    def _power_returns(self) -> None:
        resumed = self._running = self._switched_on()
        resumed.resume(tuple(self._journal))

    def over(self) -> Rehearsed:
        """What came of the day, by its journal."""
        state = fold(self._fresh, self._journal)
        self._journal.close()
        found = breaks(state.day, performed(state))
        broken = [each for each in found if each[0] not in _NOT_RULES_OF_THE_DAY]
        return Rehearsed(state, tuple(sorted(broken)), self._plan.day.hours.end)


def _asks(begins: datetime, ends: datetime, crowd: Crowd, luck: random.Random) -> list[datetime]:
    """Arrivals at random moments: a Poisson process, so the stretches between are exponential."""
    asks: list[datetime] = []
    moment = begins
    while (moment := moment + timedelta(hours=luck.expovariate(crowd.asks_an_hour))) < ends:
        presses = crowd.presses if luck.random() < crowd.children else 1
        asks += [
            moment + timedelta(seconds=press * luck.uniform(0.3, 1.2)) for press in range(presses)
        ]
    return asks
