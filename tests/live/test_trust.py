"""Whether the machine's clock is believed, for all the machines that keepers bring to a fair."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showtime.fair import Day, Piece, Signboard, Span
from showtime.live.clock.kernel import ThisMachine, has_firmware_clock
from showtime.live.clock.simulated import SimulatedMachine
from showtime.live.clock.trust import (
    Doubted,
    Reading,
    Setting,
    Source,
    Trust,
    Trusted,
    judged,
    meant,
    pretended,
)

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
FAIR_ENDS = datetime(2027, 2, 14, 16, tzinfo=UTC)
BUILT = datetime(2026, 11, 25, tzinfo=UTC)
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)


def judge(
    machine: SimulatedMachine, last_at: datetime | None = None, setting: Setting | None = None
) -> Trust:
    return judged(machine.read(), fair_ends=FAIR_ENDS, last_at=last_at, setting=setting)


def laptop() -> SimulatedMachine:
    return SimulatedMachine(NOON, built=BUILT)


def small_board() -> SimulatedMachine:
    """A single-board computer: nothing keeps its time while it is off."""
    return SimulatedMachine(NOON, battery=False, built=BUILT)


def test_a_laptop_is_believed_without_a_network() -> None:
    assert judge(laptop()) == Trusted(Source.BATTERY, NOON)


def test_a_board_without_a_battery_clock_is_not_believed_however_likely_its_time() -> None:
    trust = judge(small_board(), last_at=NOON - MINUTE)
    assert isinstance(trust, Doubted)
    assert "no battery clock" in trust.why


def test_a_board_that_a_network_told_the_time_is_believed() -> None:
    board = small_board()
    board.synchronise()
    assert judge(board) == Trusted(Source.NETWORK, NOON)


def test_the_box_that_wakes_with_last_years_date_is_not_believed() -> None:
    board = small_board()
    board.lose_power(timedelta(days=365))
    assert isinstance(judge(board), Doubted)


def test_a_battery_clock_that_woke_with_the_date_of_its_making_is_not_believed() -> None:
    machine = laptop()
    machine.wake_with(datetime(2000, 1, 1, tzinfo=UTC))
    machine.lose_power(HOUR)
    trust = judge(machine)
    assert isinstance(trust, Doubted)
    assert "2000-01-01" in trust.why


def test_a_flat_battery_is_seen_even_when_the_system_put_its_own_clock_forward() -> None:
    reading = replace(laptop().read(), battery=datetime(1970, 1, 1, 0, 3, tzinfo=UTC))
    trust = judged(reading, fair_ends=FAIR_ENDS)
    assert isinstance(trust, Doubted)
    assert "battery is flat or missing" in trust.why


def test_a_battery_clock_that_disagrees_with_the_system_clock_is_not_believed() -> None:
    machine = laptop()
    machine.jump(-HOUR)
    trust = judge(machine)
    assert isinstance(trust, Doubted)
    assert "the system clock 2027-02-13 11:00" in trust.why


def test_a_battery_clock_may_be_set_to_local_time() -> None:
    summer = datetime(2027, 2, 13, 12, tzinfo=UTC)
    reading = replace(SimulatedMachine(summer, zone=HOUR).read(), battery=summer + HOUR)
    assert judged(reading, fair_ends=FAIR_ENDS) == Trusted(Source.BATTERY, summer)


def test_a_clock_long_after_the_fair_is_not_believed() -> None:
    machine = SimulatedMachine(datetime(2041, 5, 5, tzinfo=UTC), built=BUILT)
    assert isinstance(judge(machine), Doubted)


def test_program_files_from_the_far_future_do_not_make_a_right_clock_look_wrong() -> None:
    machine = SimulatedMachine(NOON, built=datetime(2055, 1, 1, tzinfo=UTC))
    assert judge(machine) == Trusted(Source.BATTERY, NOON)


@pytest.mark.parametrize("source", ["battery", "network"])
def test_time_does_not_run_backwards_past_the_journal(source: str) -> None:
    machine = laptop()
    if source == "network":
        machine.synchronise()
    trust = judge(machine, last_at=NOON + HOUR)
    assert isinstance(trust, Doubted)
    assert trust.at == NOON + HOUR
    assert "already recorded until 2027-02-13 13:00" in trust.why


def test_a_journal_that_is_ahead_by_a_minute_is_gone_on_from() -> None:
    assert judge(laptop(), last_at=NOON + MINUTE) == Trusted(Source.BATTERY, NOON + MINUTE)


def test_what_the_keeper_said_outlives_the_program_but_not_the_machines_run() -> None:
    board = small_board()
    board.jump(-99 * HOUR)
    said = board.read()
    setting = Setting(said.boot, since=NOON - said.boottime)
    board.sleep_for(20 * MINUTE)
    assert judge(board, setting=setting) == Trusted(Source.KEEPER, NOON + 20 * MINUTE, setting)
    board.lose_power(MINUTE)
    assert isinstance(judge(board, setting=setting), Doubted)


def test_a_pretended_time_is_believed() -> None:
    assert pretended(NOON) == Trusted(Source.PRETENDED, NOON)


instants = st.datetimes(datetime(1970, 1, 2), datetime(2060, 1, 1)).map(
    lambda moment: moment.replace(tzinfo=UTC)
)
readings = st.builds(
    Reading,
    system=instants,
    synchronised=st.booleans(),
    boottime=st.timedeltas(timedelta(0), timedelta(days=9)),
    boot=st.sampled_from(["", "a", "b"]),
    battery=st.none() | instants,
    firmware=st.booleans(),
    built=st.none() | instants,
)


@given(readings, st.none() | instants)
def test_whatever_a_machine_says_no_day_begins_before_its_journal_ends(
    reading: Reading, last_at: datetime | None
) -> None:
    trust = judged(reading, fair_ends=FAIR_ENDS, last_at=last_at)
    assert last_at is None or trust.at >= last_at
    if isinstance(trust, Trusted):
        assert reading.synchronised or reading.battery is not None or reading.firmware
    else:
        assert trust.why


# What a time of day means that the keeper sets.

BOARD = Signboard("Fair", "Stall", "Figure", ("en",), ZoneInfo("Europe/London"))


def day(start: datetime, hours: float) -> Day:
    local = start.astimezone(BOARD.timezone).date()
    return Day(BOARD, local, Span(start, start + timedelta(hours=hours)), (Piece("A", MINUTE),))


FEBRUARY = day(datetime(2027, 2, 13, 10, tzinfo=UTC), 7)
DOUBT = Doubted("no battery", BUILT)
SURE = Trusted(Source.BATTERY, NOON)


def test_a_lost_clock_is_set_to_the_time_on_the_fair_day() -> None:
    assert meant(time(14, 5), FEBRUARY, BUILT, DOUBT) == NOON + timedelta(hours=2, minutes=5)


def test_a_trusted_clock_is_put_right_by_as_little_as_possible() -> None:
    just_before_midnight = datetime(2027, 2, 13, 23, 58, tzinfo=UTC)
    said = meant(time(0, 1), FEBRUARY, just_before_midnight, SURE)
    assert said == just_before_midnight + 3 * MINUTE


def test_past_midnight_is_the_next_date_on_a_day_that_closes_after_it() -> None:
    late = day(datetime(2027, 2, 13, 19, tzinfo=UTC), 8)
    assert meant(time(2, 10), late, BUILT, DOUBT) == datetime(2027, 2, 14, 2, 10, tzinfo=UTC)


def test_half_past_one_comes_twice_when_clocks_go_back() -> None:
    night = day(datetime(2027, 10, 30, 19, tzinfo=UTC), 9)
    first = datetime(2027, 10, 31, 0, 30, tzinfo=UTC)
    assert meant(time(1, 30), night, first - 10 * MINUTE, DOUBT) == first
    assert meant(time(1, 30), night, first + 20 * MINUTE, DOUBT) == first + HOUR
    assert meant(time(1, 30), night, first + 50 * MINUTE, SURE) == first + HOUR


def test_half_past_one_that_clocks_leave_out_is_the_hour_after() -> None:
    night = day(datetime(2027, 3, 27, 20, tzinfo=UTC), 8)
    said = meant(time(1, 30), night, datetime(2027, 3, 28, 0, 50, tzinfo=UTC), DOUBT)
    assert said == datetime(2027, 3, 28, 1, 30, tzinfo=UTC)


# What Linux says. The files are as in Documentation/admin-guide/rtc.rst of the kernel and in
# systemd-timesyncd(8); the folder stands for the root of the machine.


def clock_file(root: Path, name: str, shows: str, sets_system: str) -> None:
    folder = root / "sys/class/rtc" / name
    folder.mkdir(parents=True)
    (folder / "since_epoch").write_text(shows)
    (folder / "hctosys").write_text(sets_system)


def test_a_machine_without_clock_files_has_no_battery_clock(tmp_path: Path) -> None:
    assert ThisMachine(tmp_path).read().battery is None


def test_of_two_battery_clocks_the_one_counts_that_set_the_system(tmp_path: Path) -> None:
    clock_file(tmp_path, "rtc0", "0\n", "0\n")
    clock_file(tmp_path, "rtc1", f"{NOON.timestamp():.0f}\n", "1\n")
    assert ThisMachine(tmp_path).read().battery == NOON


def test_a_battery_clock_that_cannot_be_read_is_none(tmp_path: Path) -> None:
    clock_file(tmp_path, "rtc0", "", "0\n")
    assert ThisMachine(tmp_path).read().battery is None


def test_a_synchronisation_counts_for_an_hour(tmp_path: Path) -> None:
    touched = tmp_path / "run/systemd/timesync/synchronized"
    touched.parent.mkdir(parents=True)
    touched.touch()
    machine = ThisMachine(tmp_path)
    assert machine.synchronised()
    for off in (-2 * HOUR, HOUR):
        moment = (machine.system() + off).timestamp()
        os.utime(touched, (moment, moment))
        assert machine.synchronised() == ThisMachine(tmp_path / "none").synchronised()


def test_the_run_of_this_machine_has_a_name_that_stays() -> None:
    first, second = ThisMachine().read(), ThisMachine().read()
    assert first.boot == second.boot
    assert first.boottime < second.boottime


@pytest.mark.parametrize(
    ("system", "processor", "has"),
    [
        ("linux", "x86_64", True),
        ("linux", "i686", True),
        ("linux", "aarch64", False),
        ("linux", "armv7l", False),
        ("linux", "riscv64", False),
        ("darwin", "arm64", True),
        ("win32", "AMD64", True),
    ],
)
def test_which_machines_have_a_clock_in_their_firmware(
    system: str, processor: str, has: bool
) -> None:
    """rtc(4): every PC of the i386 family has one. The others are common practice."""
    assert has_firmware_clock(system, processor) is has
