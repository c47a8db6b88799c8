"""A board without a battery clock is switched on for the fair's second day."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from showtime.fair import instant
from showtime.live import Desk, Journal, SimulatedClock, open_house
from showtime.live import events as happened
from showtime.live.clock.simulated import SimulatedMachine
from showtime.live.ledger import looked_at
from showtime.live.opening import Edges
from showtime.live.places import journal_path


def local(stall, moment):
    return instant(datetime.fromisoformat(moment).replace(tzinfo=stall.signboard.timezone))


class Keeper:
    """A face whose keeper says, one after the other, what is in `orders`, and then ends it."""

    every = 1.0

    def __init__(self, orders):
        self._orders = list(orders)
        self.house = None
        self.answers = []
        self.shown = []

    def show(self, state, now, note, line):
        self.shown.append((state, now, note))
        if self._orders:
            self.answers.append(self.house.tell(self._orders.pop(0).split()))
        else:
            self.house.end()

    def close(self):
        pass


@pytest.fixture
def live(tin_orchard, tmp_path_factory, monkeypatch):
    """Lives a house on a machine, its keeper giving orders; the keeper, who has seen it all."""
    home = tmp_path_factory.mktemp("h")
    for each in ("DATA", "CACHE", "STATE"):
        monkeypatch.setenv(f"XDG_{each}_HOME", str(home / each))

    def lived(machine, *orders):
        desk = Desk(tin_orchard, home, SimulatedClock(machine.system()))
        edges = Edges(machine=machine, alarms=lambda clock: SimulatedClock(clock.now()))
        keeper = Keeper(orders)
        house = open_house(desk, "", "", None, silent=True, seed=1, edges=edges)
        keeper.house = house
        house.live(keeper)
        return keeper

    return lived


@pytest.fixture
def board(tin_orchard):
    """Switched on in the evening of Saturday, which was run on it until it lost its power."""
    return SimulatedMachine(local(tin_orchard, "2027-02-13T16:58"), battery=False)


def saturday_was_run(stall, machine, left=()):
    """Saturday's journal, with some starts still to come, and its last instant."""
    day = stall.days[0]
    journal = Journal(journal_path(stall, day.date))
    began = happened.DayBegan(
        at=machine.true - timedelta(hours=7),
        stall=stall.signboard.stall,
        date=day.date,
        slots=tuple(happened.Slot(start, day.pieces[0].name) for start in left),
    )
    journal.append(began, happened.Asked(at=machine.true, trigger="key"))
    journal.close()


def events_of(stall, number):
    return looked_at(journal_path(stall, stall.days[number].date))


def test_it_does_not_know_which_day_it_is_and_says_so(live, tin_orchard, board):
    saturday_was_run(tin_orchard, board)
    board.lose_power(timedelta(hours=17))
    keeper = live(board, "ask", "status")
    assert "The time is not known" in keeper.answers[1]
    state = keeper.shown[0][0]
    assert state.doubt
    assert state.day.date == tin_orchard.days[0].date


@pytest.mark.parametrize("said", ["clock 10:05", "clock Sunday 10:05", "clock 2027-02-14 10:05"])
def test_told_the_time_it_turns_to_sunday_and_runs_its_plan(live, tin_orchard, board, said):
    saturday_was_run(tin_orchard, board)
    board.lose_power(timedelta(hours=17))
    keeper = live(board, said, "status", "ask")
    assert keeper.answers[0] == "It is 10:05 on Sunday 14 February, and that day begins."
    state, now, _ = keeper.shown[-1]
    assert state.day.date == tin_orchard.days[1].date
    assert not state.doubt
    assert now >= local(tin_orchard, "2027-02-14T10:05")
    assert state.upcoming
    assert {slot.starts.date() for slot in state.upcoming} == {tin_orchard.days[1].date}
    assert "next 10:" in keeper.answers[1]
    assert isinstance(events_of(tin_orchard, 0)[-1], happened.DayEnded)
    assert isinstance(events_of(tin_orchard, 1)[0], happened.DayBegan)


def test_sundays_journal_knows_the_time_by_itself(live, tin_orchard, board):
    saturday_was_run(tin_orchard, board)
    board.lose_power(timedelta(hours=17))
    live(board, "clock Sunday 10:05", "ask")
    board.go_on(timedelta(minutes=3))
    again = live(board, "status")
    state, now, _ = again.shown[0]
    assert state.day.date == tin_orchard.days[1].date
    assert not state.doubt
    assert local(tin_orchard, "2027-02-14T10:08") <= now < local(tin_orchard, "2027-02-14T10:09")


def test_what_saturday_left_undone_is_asked_for_before_it_is_closed_as_missed(
    live, tin_orchard, board
):
    left = local(tin_orchard, "2027-02-13T16:50") + timedelta(minutes=20)
    saturday_was_run(tin_orchard, board, [left])
    board.lose_power(timedelta(hours=17))
    keeper = live(board, "clock Sunday 10:05", "clock Sunday 10:05", "status")
    assert keeper.answers[0].startswith("That would end Saturday and miss 1 performance: 17:10.")
    assert keeper.shown[-1][0].day.date == tin_orchard.days[1].date
    missed = [e for e in events_of(tin_orchard, 0) if isinstance(e, happened.Missed)]
    assert [e.slot.starts for e in missed] == [left]
    assert isinstance(events_of(tin_orchard, 0)[-1], happened.DayEnded)


def test_the_morning_of_the_same_day_is_no_reason_to_turn_the_page(live, tin_orchard):
    board = SimulatedMachine(local(tin_orchard, "2027-02-13T09:30"), battery=False)
    saturday_was_run(tin_orchard, board, [local(tin_orchard, "2027-02-13T14:00")])
    board.lose_power(timedelta(minutes=30))
    keeper = live(board, "clock 10:05", "status")
    assert keeper.answers[0].startswith("It is 10:05 on Saturday 13 February.")
    assert keeper.shown[-1][0].day.date == tin_orchard.days[0].date


def test_a_day_that_knew_its_time_is_not_ended_by_a_slip(live, tin_orchard):
    machine = SimulatedMachine(local(tin_orchard, "2027-02-13T17:30"))
    keeper = live(machine, "clock Sunday 10:05", "status")
    assert keeper.answers[0].startswith("That would end Saturday. If you mean it")
    assert keeper.shown[-1][0].day.date == tin_orchard.days[0].date


def test_saturdays_promise_for_sunday_is_kept_over_the_dark_night(live, tin_orchard):
    board = SimulatedMachine(local(tin_orchard, "2027-02-13T17:30"), battery=False)
    board.synchronise()
    evening = live(board, "ask")
    told = evening.shown[-1][0].promised()
    assert len(told) == 1
    board.lose_power(timedelta(hours=16))
    keeper = live(board, "clock Sunday 9:31", "ask")
    assert keeper.shown[-1][0].promised() == told
    assert told[0] in [slot.starts for slot in keeper.shown[-1][0].upcoming]
