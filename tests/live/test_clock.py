"""The day's clock, while people, networks, lids and batteries do what they do."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from freezegun import freeze_time
from hypothesis import given
from hypothesis import strategies as st

from showtime.fair import Stall
from showtime.live.clock.deskclock import DeskClock
from showtime.live.clock.kernel import Machine, ThisMachine
from showtime.live.clock.simulated import SimulatedMachine
from showtime.live.clock.steady import SteadyClock
from showtime.live.clock.trust import Doubted, Source, Trusted, pretended

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
HOUR, MINUTE, SECOND = timedelta(hours=1), timedelta(minutes=1), timedelta(seconds=1)
YEAR = timedelta(days=365)
JUMPS = [HOUR, -HOUR, YEAR, -YEAR]


@pytest.fixture
def machine() -> SimulatedMachine:
    return SimulatedMachine(NOON)


@pytest.fixture
def clock(machine: SimulatedMachine) -> SteadyClock:
    return SteadyClock(machine, Trusted(Source.BATTERY, NOON))


def by(clock: SteadyClock) -> Source | None:
    return clock.trust.by if isinstance(clock.trust, Trusted) else None


def test_nothing_is_noticed_on_a_quiet_day(machine: SimulatedMachine, clock: SteadyClock) -> None:
    for _ in range(1000):
        machine.go_on(SECOND)
        assert clock.look() is None
    assert clock.now() == NOON + 1000 * SECOND


@pytest.mark.parametrize("jump", JUMPS)
def test_a_jump_of_the_system_clock_alone_changes_nothing(
    machine: SimulatedMachine, clock: SteadyClock, jump: timedelta
) -> None:
    machine.jump(jump)
    noticed = clock.look()
    assert noticed is not None
    assert (noticed.jumped, noticed.becomes) == (jump, noticed.was)
    assert "the day keeps its own" in noticed.why
    assert clock.now() == NOON
    assert clock.look() is None


@pytest.mark.parametrize("jump", JUMPS)
def test_the_real_clock_goes_on_through_jumps(jump: timedelta, tmp_path: Path) -> None:
    with freeze_time(NOON, tick=True) as frozen:
        clock = SteadyClock(ThisMachine(tmp_path), Trusted(Source.BATTERY, NOON))
        frozen.move_to(NOON + jump)
        noticed = clock.look()
        assert timedelta(0) <= clock.now() - NOON < 5 * SECOND
    assert noticed is not None
    assert abs(noticed.jumped - jump) < 5 * SECOND


def test_a_network_that_comes_takes_the_clock_forwards_at_a_stroke(
    machine: SimulatedMachine,
) -> None:
    clock = SteadyClock(machine, Trusted(Source.BATTERY, NOON - HOUR))
    machine.synchronise()
    noticed = clock.look()
    assert noticed is not None
    assert (noticed.was, noticed.becomes, noticed.changed) == (NOON - HOUR, NOON, True)
    assert by(clock) is Source.NETWORK


def test_a_clock_that_is_a_little_ahead_goes_slower_and_never_back(
    machine: SimulatedMachine,
) -> None:
    clock = SteadyClock(machine, Trusted(Source.KEEPER, NOON + MINUTE))
    machine.synchronise()
    assert clock.look() is not None
    shown = [clock.now()]
    for _ in range(150):
        machine.go_on(SECOND)
        clock.look()
        shown.append(clock.now())
    assert shown == sorted(set(shown))
    assert shown[60] - shown[0] == 30 * SECOND
    assert clock.now() == machine.true


def test_a_clock_half_a_second_behind_follows_too(
    machine: SimulatedMachine, clock: SteadyClock
) -> None:
    machine.synchronise()
    clock.look()
    machine.synchronise(wrong_by=SECOND * 0.4)
    noticed = clock.look()
    assert noticed is not None
    assert noticed.becomes - noticed.was == SECOND * 0.4
    assert not noticed.changed


@pytest.mark.parametrize("wrong_by", [-HOUR, YEAR, -YEAR])
def test_a_network_that_contradicts_a_trusted_clock_leaves_it_to_the_keeper(
    machine: SimulatedMachine, clock: SteadyClock, wrong_by: timedelta
) -> None:
    machine.synchronise(wrong_by)
    noticed = clock.look()
    assert noticed is not None
    assert noticed.becomes == noticed.was == NOON
    assert isinstance(noticed.trust, Doubted)
    assert "network time says" in noticed.trust.why
    machine.go_on(MINUTE)
    assert clock.look() is None
    clock.set_to(machine.true)
    assert by(clock) is Source.KEEPER
    machine.go_on(MINUTE)
    clock.look()
    assert clock.now() == machine.true


def test_a_network_that_comes_to_its_senses_is_believed_again(
    machine: SimulatedMachine, clock: SteadyClock
) -> None:
    machine.synchronise(YEAR)
    clock.look()
    machine.synchronise()
    clock.look()
    assert by(clock) is Source.NETWORK
    assert clock.now() == NOON


def test_a_lost_clock_is_found_by_a_network(machine: SimulatedMachine) -> None:
    clock = SteadyClock(machine, Doubted("no battery", NOON - YEAR))
    assert clock.look() is None
    machine.synchronise()
    noticed = clock.look()
    assert noticed is not None
    assert (noticed.becomes, by(clock)) == (NOON, Source.NETWORK)


def test_what_the_keeper_sets_stands_until_a_network_comes_anew(
    machine: SimulatedMachine, clock: SteadyClock
) -> None:
    machine.synchronise()
    clock.look()
    said = clock.set_to(NOON + 5 * MINUTE)
    assert (said.was, said.becomes, said.changed) == (NOON, NOON + 5 * MINUTE, True)
    assert clock.look() is None
    machine.lose_network()
    clock.look()
    machine.go_on(HOUR)
    assert clock.now() == machine.true + 5 * MINUTE
    machine.synchronise(wrong_by=6 * MINUTE)
    clock.look()
    assert by(clock) is Source.NETWORK
    assert clock.now() == machine.true + 6 * MINUTE


def test_the_keepers_setting_tells_how_to_find_the_time_again(
    machine: SimulatedMachine, clock: SteadyClock
) -> None:
    clock.set_to(NOON + MINUTE)
    assert isinstance(clock.trust, Trusted)
    setting = clock.trust.setting
    assert setting is not None
    reading = machine.read()
    assert setting.boot == reading.boot
    assert setting.since + reading.boottime == NOON + MINUTE


def test_a_pretended_time_follows_nobody(machine: SimulatedMachine) -> None:
    clock = SteadyClock(machine, pretended(NOON + YEAR))
    machine.synchronise()
    assert clock.look() is None
    clock.set_to(NOON + YEAR + HOUR)
    machine.lose_network()
    machine.synchronise()
    clock.look()
    assert clock.now() == NOON + YEAR + HOUR


def test_sleep_counts_and_is_noticed(machine: SimulatedMachine, clock: SteadyClock) -> None:
    machine.sleep_for(30 * SECOND)
    noticed = clock.look()
    assert noticed is not None
    assert noticed.slept == 30 * SECOND
    assert noticed.why == "asleep for 30 s"
    assert clock.now() == machine.true == NOON + 30 * SECOND
    assert clock.monotonic() == 20.0
    assert clock.look() is None


def test_how_long_it_takes_until_a_moment_is_known_while_going_slower(
    machine: SimulatedMachine,
) -> None:
    clock = SteadyClock(machine, Trusted(Source.KEEPER, NOON + MINUTE))
    machine.synchronise()
    clock.look()
    for later in (30 * SECOND, 40 * SECOND, 10 * MINUTE):
        moment = clock.now() + later
        machine.go_on(clock.away(moment))
        assert clock.now() == moment
    assert clock.away(NOON) == timedelta(0)


steps = st.lists(
    st.tuples(
        st.sampled_from(["go on", "sleep", "jump", "synchronise", "lose network"]),
        st.integers(-90_000_000, 90_000_000),
    ),
    max_size=40,
)


@given(steps)
def test_unless_the_keeper_sets_it_the_clock_never_runs_backwards(
    steps: list[tuple[str, int]],
) -> None:
    machine = SimulatedMachine(NOON)
    clock = SteadyClock(machine, Trusted(Source.BATTERY, NOON))
    shown = clock.now()
    for verb, amount in steps:
        by_so_much = timedelta(milliseconds=amount)
        if verb == "go on":
            machine.go_on(abs(by_so_much) / 100)
        elif verb == "sleep":
            machine.sleep_for(abs(by_so_much))
        elif verb == "jump":
            machine.jump(by_so_much)
        elif verb == "synchronise":
            machine.synchronise(by_so_much / 100)
        else:
            machine.lose_network()
        assert clock.now() >= shown
        shown = clock.now()
        noticed = clock.look()
        assert clock.now() >= shown
        assert noticed is None or noticed.was == shown
        shown = clock.now()


@pytest.mark.parametrize("real", [ThisMachine(), SimulatedMachine(NOON)])
def test_a_machines_times_belong_together(real: Machine) -> None:
    """The real machine and its stand-in."""
    reading = real.read()
    assert reading.system.utcoffset() == timedelta(0)
    assert real.boottime() >= reading.boottime
    assert real.monotonic() <= real.boottime()
    assert isinstance(real.synchronised(), bool)


@pytest.mark.parametrize("which", ["the desk's", "steady"])
def test_every_clock_waits_and_goes_on(which: str, tin_orchard: Stall) -> None:
    steady = SteadyClock(ThisMachine(), pretended(NOON))
    clock = steady if which == "steady" else DeskClock(tin_orchard)
    stop = threading.Event()
    before, ticks = clock.now(), clock.monotonic()
    assert not clock.wait(stop, 0.01)
    assert clock.now() - before >= timedelta(milliseconds=10)
    assert clock.monotonic() - ticks >= 0.01
    stop.set()
    assert clock.wait(stop, 60)
