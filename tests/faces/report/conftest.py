"""Days that were lived, in simulated time, with their journals on disk."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from showtime.fair import Plan, Stall
from showtime.live import DayState, Journal, RunningDay, SimulatedClock, World
from showtime.live.journal.recorder import Recorder
from showtime.live.ports import IdleFigure, OwnAlarms, WordsOnly
from showtime.wording import Bank

MINUTE = timedelta(minutes=1)


@dataclass
class Lived:
    """A day that runs on a journal; `told` are the moments at which somebody asked."""

    stall: Stall
    plan: Plan
    bank: Bank
    path: Path
    clock: SimulatedClock
    told: list[datetime] = field(default_factory=list)
    starts: int = 0

    def switch_on(self) -> None:
        self.starts += 1
        self.journal = Journal(self.path)
        self.alarms = OwnAlarms(self.clock, f"start {self.starts}")
        world = World(
            journal=Recorder(self.journal),
            clock=self.clock,
            alarms=self.alarms,
            speech=WordsOnly(self.clock),
            figure=IdleFigure(),
            banks=dict.fromkeys(self.stall.signboard.languages, self.bank),
            random=random.Random(self.starts),
            replanner=lambda state, now: None,
        )
        self.running = RunningDay(DayState(self.plan.day, self.stall.keep_within), world)
        history = tuple(self.journal)
        if history:
            self.running.resume(history)
            self.running.tell(("release",))
        else:
            self.running.begin(self.plan.performances, None)

    def cut_power(self) -> None:
        self.alarms.close()
        self.journal.close()

    def turn(self, moment: datetime) -> None:
        self.clock.turn_to(moment)

    def ask(self) -> None:
        self.told.append(self.clock.now())
        self.running.asked("visitor")

    def tell(self, *words: str) -> None:
        self.running.tell(words)

    def end(self) -> None:
        self.running.end()
        self.journal.close()


Live = Callable[..., Lived]


@pytest.fixture
def live(tin_orchard: Stall, english: Bank, tmp_path: Path) -> Live:
    """Lives a plan's day: visitors by chance, and orders at their moments; up to `until`."""

    def lived(
        plan: Plan,
        *,
        asks: int = 200,
        orders: Sequence[tuple[timedelta, tuple[str, ...]]] = (),
        until: datetime | None = None,
        name: str = "day.journal",
        ends: bool = True,
        seed: int = 1,
    ) -> Lived:
        hours = plan.day.hours
        clock = SimulatedClock(hours.start - 10 * MINUTE)
        stall = replace(tin_orchard, days=(plan.day,), signboard=plan.day.signboard)
        day = Lived(stall, plan, english, tmp_path / name, clock)
        day.switch_on()
        luck = random.Random(seed)
        moments: list[tuple[datetime, tuple[str, ...]]] = [
            (hours.start + luck.random() * hours.length, ("ask",)) for _ in range(asks)
        ]
        moments += [(hours.start + after, words) for after, words in orders]
        for moment, words in sorted(moments):
            if until is not None and moment > until:
                break
            day.turn(moment)
            if words == ("ask",):
                day.ask()
            elif words == ("cut",):
                day.cut_power()
                clock.turn_to(moment + 3 * MINUTE)
                day.switch_on()
            else:
                day.tell(*words)
        day.turn(until or hours.end + 5 * MINUTE)
        if ends:
            day.end()
        return day

    return lived


DISTURBED = (
    (40 * MINUTE, ("hold", "a string snapped; Mrs Gale of 12 Mill Lane helps")),
    (48 * MINUTE, ("release",)),
    (100 * MINUTE, ("quiet", "10", "the mayor <b>speaks</b>")),
    (181 * MINUTE, ("cut",)),
    (250 * MINUTE, ("late", "5")),
    (330 * MINUTE, ("skip",)),
)


@pytest.fixture
def disturbed() -> Sequence[tuple[timedelta, tuple[str, ...]]]:
    """A hold, a speech, a power cut, a delay, and one start left out."""
    return DISTURBED


@pytest.fixture
def saturday_lived(live: Live, saturday_plan: Plan) -> Lived:
    return live(saturday_plan, orders=DISTURBED)
