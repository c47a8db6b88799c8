"""A whole day in simulated time: the same running day, invented visitors, a fallible keeper."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

from showtime.fair import Plan, Stall
from showtime.live.clock import SimulatedClock
from showtime.live.fold import fold
from showtime.live.journal import Journal
from showtime.live.ledger import promises_at
from showtime.live.mend import breaks, performed
from showtime.live.ports import IdleFigure, WordsOnly
from showtime.live.running import Replanner, RunningDay, World
from showtime.live.state import DayState, Outcome, Promise
from showtime.wording import Bank

_EARLY = timedelta(minutes=15)
_LATE = timedelta(minutes=20)


@dataclass(frozen=True, slots=True)
class Crowd:
    """Who comes, and how the keeper's day goes. Invented figures, for rehearsals only.

    Visitors ask `asks_an_hour` times on average, at random moments; of them a share of
    `children` press again and again. The keeper is late for a start with the chance `late`,
    by 3 to 15 minutes, and notices it up to 10 minutes before.
    """

    asks_an_hour: float = 40.0
    children: float = 0.03
    presses: int = 20
    late: float = 0.2


@dataclass(frozen=True)
class Rehearsed:
    """What came of it. `broken` names each rule that the performances broke, and when.

    The start grid is left out: it is for planning, and what the keeper plays at once is off it.
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
        return promises_at(self.state, self.state.last_at or self.state.day.hours.end)

    def count(self, outcome: Outcome) -> int:
        """How many promises for today had that outcome."""
        today = [p for p in self.promises if p.told <= self.ends]
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
    journal = Journal()
    world = World(
        journal=journal,
        clock=clock,
        alarms=clock,
        speech=WordsOnly(clock),
        figure=IdleFigure(),
        banks=banks,
        random=random.Random(luck.random()),
        replanner=replanner,
    )
    fresh = DayState(plan.day, stall.keep_within)
    running = RunningDay(fresh, world)
    running.begin(plan.performances, tomorrow)
    _visitors(clock, running, crowd, luck, until=hours.end + _LATE)
    _keeper(clock, running, plan, crowd, luck)
    clock.turn_to(hours.end + _LATE)
    state = fold(fresh, journal)
    running.end()
    broken = [each for each in breaks(state.day, performed(state)) if each[0] != "grid"]
    return Rehearsed(state, tuple(sorted(broken)), hours.end)


def _visitors(
    clock: SimulatedClock, running: RunningDay, crowd: Crowd, luck: random.Random, until: datetime
) -> None:
    """Arrivals at random moments: a Poisson process, so the stretches between are exponential."""
    moment, number = clock.now(), 0
    while True:
        moment += timedelta(hours=luck.expovariate(crowd.asks_an_hour))
        if moment >= until:
            return
        presses = crowd.presses if luck.random() < crowd.children else 1
        for press in range(presses):
            number += 1
            clock.set(
                f"visitor {number}",
                moment + timedelta(seconds=press * luck.uniform(0.3, 1.2)),
                partial(_ask, running),
            )


def _ask(running: RunningDay) -> None:
    running.asked("visitor")


def _keeper(
    clock: SimulatedClock, running: RunningDay, plan: Plan, crowd: Crowd, luck: random.Random
) -> None:
    for performance in plan.performances:
        if luck.random() >= crowd.late:
            continue
        notices = performance.starts - timedelta(minutes=luck.uniform(0.5, 10))
        minutes = luck.randint(3, 15)
        clock.set(f"keeper {performance.starts}", notices, partial(_late, running, minutes))


def _late(running: RunningDay, minutes: int) -> None:
    running.tell(["late", str(minutes)])
