"""How punctual the figure is, and what it costs to keep an eye on the clocks."""

from __future__ import annotations

import random
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from apscheduler.schedulers.background import BackgroundScheduler

from showtime.fair import Day, Performance, Piece
from showtime.live import DayState, Desk, Journal, RunningDay, World
from showtime.live.clock import Clock
from showtime.live.clock.alarms import SchedulerAlarms
from showtime.live.clock.kernel import ThisMachine
from showtime.live.clock.steady import SteadyClock
from showtime.live.clock.trust import judged, pretended
from showtime.live.ports import WordsOnly
from showtime.settings import shipped
from tests.bench.row import Row, seconds

STARTS = 200
FAIR_ENDS = datetime(2027, 2, 14, tzinfo=UTC)


class Lateness:
    """Milliseconds by which things came after their instants."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self.taken: list[float] = []
        self.all_came = threading.Event()

    def came(self, planned: datetime) -> None:
        self.taken.append((self._clock.now() - planned) / timedelta(milliseconds=1))
        if len(self.taken) == STARTS:
            self.all_came.set()

    @property
    def worst(self) -> float:
        assert self.all_came.wait(120)
        return max(self.taken)

    @property
    def spread(self) -> str:
        ordered = sorted(self.taken)
        return f"median {statistics.median(ordered):.2f} ms, 99th {ordered[-3]:.2f} ms"


def instants(after: datetime) -> list[datetime]:
    """At random moments, 60 to 140 ms apart."""
    luck, moments = random.Random(1), [after + timedelta(seconds=1)]
    while len(moments) < STARTS:
        moments.append(moments[-1] + timedelta(seconds=luck.uniform(0.06, 0.14)))
    return moments


def alarms_alone() -> Lateness:
    clock = SteadyClock(ThisMachine(), pretended(FAIR_ENDS))
    alarms, lateness = SchedulerAlarms(clock), Lateness(clock)
    for moment in instants(clock.now()):
        alarms.set(str(moment), moment, partial(lateness.came, moment))
    lateness.all_came.wait(120)
    alarms.close()
    return lateness


def bare_scheduler() -> Lateness:
    """The library as it comes, on the machine's clock."""

    class Wall(SteadyClock):
        def now(self) -> datetime:
            return datetime.now(UTC)

    clock = Wall(ThisMachine(), pretended(FAIR_ENDS))
    scheduler, lateness = BackgroundScheduler(timezone=UTC), Lateness(clock)
    scheduler.start()
    for moment in instants(clock.now()):
        scheduler.add_job(lateness.came, "date", args=(moment,), run_date=moment)
    lateness.all_came.wait(120)
    scheduler.shutdown()
    return lateness


def bare_thread() -> Lateness:
    """A thread that does nothing but wait for the next instant: what the machine allows at best."""
    clock = SteadyClock(ThisMachine(), pretended(FAIR_ENDS))
    lateness, never = Lateness(clock), threading.Event()
    for moment in instants(clock.now()):
        never.wait(max(0.0, (moment - clock.now()).total_seconds()))
        lateness.came(moment)
    return lateness


class Punctual:
    """A figure that notes when it is told to play."""

    def __init__(self, played: Callable[[], None]) -> None:
        self._played = played

    def play(self, piece: Piece) -> None:
        self._played()

    def stop(self) -> None:
        """It does not move."""


def through_the_day(folder: Path) -> Lateness:
    """From the plan, through the lock, the rules and the journal on disk, to the figure."""
    desk = Desk.of(shipped("config/tin-orchard.yaml"))
    demo = desk.stall.days[0]
    tick = Piece("Tick", timedelta(milliseconds=20))
    day: Day = replace(demo, pieces=(tick,), quiet=(), calls=(), budgets=(), gap=timedelta(0))
    clock = SteadyClock(ThisMachine(), pretended(day.hours.start))
    alarms, lateness = SchedulerAlarms(clock), Lateness(clock)
    planned = iter(moments := instants(clock.now()))
    world = World(
        journal=Journal(folder / "bench.journal"),
        clock=clock,
        alarms=alarms,
        speech=WordsOnly(clock),
        figure=Punctual(lambda: lateness.came(next(planned))),
        banks=desk.banks(),
        random=random.Random(1),
        replanner=lambda state, now: None,
    )
    running = RunningDay(DayState(day, desk.stall.keep_within), world)
    running.begin([Performance(moment, tick) for moment in moments], None)
    lateness.all_came.wait(120)
    running.end()
    return lateness


def rows() -> Iterator[Row]:
    alone, bare, best = alarms_alone(), bare_scheduler(), bare_thread()
    yield Row(
        f"start fired against planned instant, worst of {STARTS}",
        alone.worst,
        "ms",
        5,
        f"{alone.spread}; the bare scheduler: worst {bare.worst:.2f}, {bare.spread}; "
        f"a thread that only waits: worst {best.worst:.2f}, {best.spread}",
    )
    with tempfile.TemporaryDirectory() as folder:
        begun = through_the_day(Path(folder))
    yield Row(
        f"  until the figure is told to play, worst of {STARTS}",
        begun.worst,
        "ms",
        None,
        f"{begun.spread}; the start is journalled on disk first",
    )
    machine = ThisMachine()
    clock = SteadyClock(machine, pretended(FAIR_ENDS))
    yield Row(
        "a look at the clocks, once a second",
        seconds(lambda: [clock.look() for _ in range(1000)]) * 1000,
        "µs",
        None,
        f"the time told: {seconds(lambda: [clock.now() for _ in range(1000)]) * 1000:.2f} µs; "
        f"from time.time: {seconds(lambda: [time.time() for _ in range(1000)]) * 1000:.2f} µs",
    )
    yield Row(
        "the clock judged, at the start of a day",
        seconds(lambda: judged(machine.read(), fair_ends=FAIR_ENDS), 50) * 1000,
        "ms",
    )
