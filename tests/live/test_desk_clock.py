"""A question at the desk: by the clock as it is believed, or honestly by none."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from showtime.fair import instant
from showtime.live import Desk, Journal
from showtime.live import events as happened
from showtime.live.clock.deskclock import DeskClock
from showtime.live.clock.simulated import SimulatedMachine
from showtime.live.clock.trust import Doubted, Source, Trusted
from showtime.live.places import journal_path
from showtime.wording import Kind


def local(stall, moment):
    return instant(datetime.fromisoformat(moment).replace(tzinfo=stall.signboard.timezone))


@pytest.fixture
def stall(tin_orchard, tmp_path, monkeypatch):
    """The demo stall, on a computer on which nothing was run so far."""
    for home in ("DATA", "CACHE", "STATE"):
        monkeypatch.setenv(f"XDG_{home}_HOME", str(tmp_path / home))
    return tin_orchard


def answered(stall, tmp_path, machine, now=""):
    desk = Desk(stall, tmp_path, DeskClock(stall, machine))
    asked = desk.asked("", now)
    return desk.sentences(desk.plan(asked.day, 20.0), asked.now, "", 1)[0]


def test_with_a_battery_clock_the_next_one_is_told(stall, tmp_path):
    machine = SimulatedMachine(local(stall, "2027-02-13T10:05"))
    said = answered(stall, tmp_path, machine)
    assert said.situation.kind in (Kind.NEXT, Kind.SOON)


def test_a_board_without_one_says_that_it_does_not_know_the_time(stall, tmp_path):
    machine = SimulatedMachine(local(stall, "2027-02-13T10:05"), battery=False)
    said = answered(stall, tmp_path, machine)
    assert said.situation.kind is Kind.CLOCK_UNSET
    assert said.situation.at is None


def test_but_of_a_moment_that_is_named_it_knows(stall, tmp_path):
    machine = SimulatedMachine(local(stall, "2027-02-13T10:05"), battery=False)
    said = answered(stall, tmp_path, machine, "2027-02-13T14:12")
    assert said.situation.kind in (Kind.NEXT, Kind.SOON)


def test_at_home_before_the_fair_the_clock_is_judged_all_the_same(stall, tmp_path):
    boards = [SimulatedMachine(local(stall, "2027-01-20T12:00"), battery=b) for b in (True, False)]
    kinds = [answered(stall, tmp_path, board).situation.kind for board in boards]
    assert kinds[0] is not Kind.CLOCK_UNSET
    assert kinds[1] is Kind.CLOCK_UNSET


def told_by_the_keeper(stall, machine, moment, *later):
    journal = Journal(journal_path(stall, stall.days[0].date))
    since = moment - machine.boottime()
    boot = machine.read().boot
    trusted = happened.ClockTrusted(at=moment, by="the keeper", boot=boot, since=since)
    journal.append(trusted, *later)
    journal.close()


def test_what_the_keeper_told_the_running_day_counts_here_too(stall, tmp_path):
    machine = SimulatedMachine(local(stall, "2020-01-01T00:00"), battery=False)
    moment = local(stall, "2027-02-13T14:12")
    told_by_the_keeper(stall, machine, moment)
    machine.go_on(timedelta(minutes=1))
    clock = DeskClock(stall, machine)
    assert clock.trust == Trusted(Source.KEEPER, moment + timedelta(minutes=1), clock.trust.setting)
    assert clock.now() == moment + timedelta(minutes=1)
    assert answered(stall, tmp_path, machine).situation.kind in (Kind.NEXT, Kind.SOON)


def test_until_the_machine_is_switched_off(stall):
    machine = SimulatedMachine(local(stall, "2027-02-13T14:12"), battery=False)
    told_by_the_keeper(stall, machine, machine.true)
    machine.lose_power(timedelta(minutes=3))
    assert isinstance(DeskClock(stall, machine).trust, Doubted)


def test_or_until_it_was_doubted_again(stall):
    machine = SimulatedMachine(local(stall, "2027-02-13T14:12"), battery=False)
    doubted = happened.ClockDoubted(at=machine.true, why="a slip of the fingers, undone")
    told_by_the_keeper(stall, machine, machine.true, doubted)
    assert isinstance(DeskClock(stall, machine).trust, Doubted)


def test_a_journal_that_cannot_be_read_does_no_harm(stall):
    path = journal_path(stall, stall.days[0].date)
    path.parent.mkdir(parents=True)
    path.write_bytes(b"no journal at all" * 500)
    machine = SimulatedMachine(local(stall, "2027-02-13T14:12"))
    assert isinstance(DeskClock(stall, machine).trust, Trusted)
