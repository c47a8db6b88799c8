"""Alarms are done once each, in order and never early, whatever befalls the clocks."""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
from freezegun import freeze_time

from showtime.live.clock.alarms import SchedulerAlarms
from showtime.live.clock.kernel import ThisMachine
from showtime.live.clock.simulated import SimulatedClock, SimulatedMachine
from showtime.live.clock.steady import SteadyClock
from showtime.live.clock.trust import Source, Trusted, pretended

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
HOUR, SECOND = timedelta(hours=1), timedelta(seconds=1)
SOON = timedelta(milliseconds=200)


class Done:
    """What was done, and when by the clock; can be waited for."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._more = threading.Condition()
        self.names: list[str] = []
        self.at: list[datetime] = []

    def do(self, name: str) -> None:
        with self._more:
            self.names.append(name)
            self.at.append(self._now())
            self._more.notify_all()

    def wait(self, count: int, seconds: float = 5.0) -> bool:
        with self._more:
            return self._more.wait_for(lambda: len(self.names) >= count, seconds)


class Real:
    """The scheduler on this machine's clock."""

    def __init__(self) -> None:
        self.clock = SteadyClock(ThisMachine(), pretended(NOON))
        self.alarms = SchedulerAlarms(self.clock)
        self.done = Done(self.clock.now)

    def let_pass(self, length: timedelta) -> None:
        time.sleep(length.total_seconds())


class Simulated:
    """The simulated clock, which is its own alarms."""

    def __init__(self) -> None:
        self.clock = self.alarms = SimulatedClock(NOON)
        self.done = Done(self.clock.now)

    def let_pass(self, length: timedelta) -> None:
        self.clock.turn_to(self.clock.now() + length)


Either = Real | Simulated


@pytest.fixture(params=[Real, Simulated])
def either(request: pytest.FixtureRequest) -> Iterator[Either]:
    """The real alarms and their stand-in: what holds for one holds for the other."""
    made = request.param()
    yield made
    made.alarms.close()


@pytest.fixture
def real() -> Iterator[Real]:
    made = Real()
    yield made
    made.alarms.close()


def set_all(either: Either, *offsets: tuple[str, timedelta]) -> None:
    start = either.clock.now()
    for name, offset in offsets:
        either.alarms.set(name, start + offset, partial(either.done.do, name))


def test_each_is_done_once_in_order_and_not_early(either: Either) -> None:
    start = either.clock.now()
    set_all(either, ("b", 2 * SOON), ("a", SOON), ("c", 3 * SOON))
    either.let_pass(3.5 * SOON)
    assert either.done.wait(3)
    assert either.done.names == ["a", "b", "c"]
    assert all(at >= start + n * SOON for n, at in enumerate(either.done.at, 1))


def test_what_is_overdue_is_done_at_once_in_order(either: Either) -> None:
    set_all(either, *((f"{n:02}", n * SECOND - HOUR) for n in range(30)))
    either.let_pass(SOON)
    assert either.done.wait(30)
    assert either.done.names == sorted(either.done.names)


def test_alarms_of_one_instant_are_done_in_the_order_they_were_set(either: Either) -> None:
    set_all(either, *((f"{n:02}", SOON) for n in range(30)))
    either.let_pass(2 * SOON)
    assert either.done.wait(30)
    assert either.done.names == sorted(either.done.names)


def test_an_alarm_set_again_moves(either: Either) -> None:
    set_all(either, ("a", SOON), ("b", 2 * SOON), ("a", 3 * SOON))
    either.let_pass(4 * SOON)
    assert either.done.wait(2)
    assert either.done.names == ["b", "a"]


def test_a_dropped_alarm_is_not_done(either: Either) -> None:
    set_all(either, ("a", SOON), ("b", SOON))
    either.alarms.drop("a")
    either.alarms.drop("never set")
    either.let_pass(2 * SOON)
    assert either.done.wait(1)
    assert either.done.names == ["b"]


def test_what_an_alarm_does_may_set_it_again(either: Either) -> None:
    def again() -> None:
        either.done.do("again")
        if len(either.done.names) < 5:
            either.alarms.set("again", either.clock.now() + SOON / 10, again)

    either.alarms.set("again", either.clock.now() + SOON / 10, again)
    either.let_pass(2 * SOON)
    assert either.done.wait(5)
    either.let_pass(SOON)
    assert len(either.done.names) == 5


def test_realigning_repeats_nothing_and_loses_nothing(either: Either) -> None:
    set_all(either, *((f"{n:03}", n * SOON / 40) for n in range(100)))
    for _ in range(60):
        either.let_pass(SOON / 20)
        either.alarms.realign()
    assert either.done.wait(100)
    either.let_pass(SOON)
    assert either.done.names == sorted(set(either.done.names))


@pytest.mark.parametrize("jump", [HOUR, -HOUR, 8766 * HOUR, -8766 * HOUR])
def test_a_jump_of_the_system_clock_makes_nothing_early_or_late(
    real: Real, jump: timedelta
) -> None:
    start = real.clock.now()
    set_all(real, ("a", 2 * SOON), ("b", 3 * SOON), ("next hour", HOUR))
    with freeze_time(datetime.now(UTC) + jump, tick=True):
        noticed = real.clock.look()
        assert noticed is not None
        assert noticed.jumped
        real.alarms.realign()
        # Setting one more wakes the scheduler, which now sees the other time.
        set_all(real, ("c", 4 * SOON))
        assert real.done.wait(3)
    assert real.done.names == ["a", "b", "c"]
    for at, planned in zip(real.done.at, (2 * SOON, 3 * SOON), strict=False):
        assert timedelta(0) <= at - start - planned < SECOND


def test_a_jump_forwards_that_nobody_has_noticed_yet_makes_nothing_early(real: Real) -> None:
    start = real.clock.now()
    set_all(real, ("later", HOUR / 2), ("a", 2 * SOON))
    with freeze_time(datetime.now(UTC) + HOUR, tick=True):
        set_all(real, ("wakes the scheduler", SOON))
        assert real.done.wait(2)
    assert real.done.names == ["wakes the scheduler", "a"]
    assert real.done.at[1] >= start + 2 * SOON


def test_when_the_keeper_puts_the_clock_forward_what_is_passed_is_due(real: Real) -> None:
    set_all(real, ("a", HOUR), ("b", 2 * HOUR), ("c", 3 * HOUR))
    real.clock.set_to(NOON + 2.5 * HOUR)
    real.alarms.realign()
    assert real.done.wait(2)
    time.sleep(0.1)
    assert real.done.names == ["a", "b"]


def test_realigning_setting_and_dropping_at_once_leaves_each_alarm_done_once(real: Real) -> None:
    kept = [f"kept {n}" for n in range(200)]
    luck, ended = random.Random(5), threading.Event()

    def disturb() -> None:
        while not ended.is_set():
            real.alarms.realign()
            real.alarms.set("other", real.clock.now() + HOUR, lambda: None)
            real.alarms.drop("other")
            time.sleep(0.002)  # hundreds of times in all, but not so that nothing else gets a turn

    disturbers = [threading.Thread(target=disturb) for _ in range(2)]
    for thread in disturbers:
        thread.start()
    set_all(real, *((name, luck.random() * 5 * SOON) for name in kept))
    assert real.done.wait(len(kept), 30)
    ended.set()
    for thread in disturbers:
        thread.join()
    time.sleep(0.1)
    assert sorted(real.done.names) == sorted(kept)


def test_a_clock_that_goes_slower_is_waited_for() -> None:
    """Real waiting on a clock that has half a second to pay back."""

    class Ahead(ThisMachine):
        def synchronised(self) -> bool:
            return True

    machine = Ahead()
    clock = SteadyClock(machine, Trusted(Source.KEEPER, machine.system() + SECOND / 2))
    assert clock.look() is None, "what the keeper set against a network stands"
    clock = SteadyClock(machine, Trusted(Source.NETWORK, machine.system() + SECOND / 2))
    alarms, done = SchedulerAlarms(clock), Done(clock.now)
    due = clock.now() + SECOND / 4
    alarms.set("a", due, partial(done.do, "a"))
    assert done.wait(1)
    assert due <= done.at[0] < due + SECOND
    alarms.close()


def test_after_a_sleep_what_fell_due_is_done_late_in_order_after_the_day_was_told() -> None:
    clock = SimulatedClock(NOON, SimulatedMachine(NOON), Trusted(Source.BATTERY, NOON))
    done = Done(clock.now)
    clock.on_noticed = lambda noticed: done.do(f"slept {noticed.slept.total_seconds():g} s")
    for name, offset in (("a", 10), ("b", 20), ("c", 40)):
        clock.set(name, NOON + offset * SECOND, partial(done.do, name))
    clock.sleep_for(30 * SECOND)
    assert done.names == ["slept 30 s", "a", "b"]
    assert done.at == [NOON + 30 * SECOND] * 3
    clock.turn_to(NOON + HOUR)
    assert done.names[3:] == ["c"]
    assert done.at[3] == NOON + 40 * SECOND
