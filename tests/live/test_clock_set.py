"""The keeper sets the clock: what would cost starts is asked twice, and a slip is taken back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from showtime.live import DayState, House, Outcome, fold
from showtime.live import events as happened
from showtime.live.asked import QuestionError
from showtime.live.clock.simulated import SimulatedClock
from showtime.live.clock.trust import Doubted, Source, Trusted, pretended
from showtime.live.keeper.settime import moment_said

MINUTE, SECOND = timedelta(minutes=1), timedelta(seconds=1)


class OneDay:
    """Nothing follows."""

    def following(self, running):
        return None

    def turns_to(self, day, now):
        return None


@pytest.fixture
def stage(open_stage):
    opened = open_stage()
    opened.clock.on_noticed = opened.running.noticed
    opened.turn("10:05")
    return opened


@pytest.fixture
def house(stage):
    """The stage's day with a keeper who gives orders."""
    return House(
        stage.clock.steady, stage.clock, lambda house: stage.running, OneDay(), lambda: None
    )


def coming(stage):
    return [f"{slot.starts:%H:%M}" for slot in stage.state.upcoming]


ALL = ["10:30", "11:00", "11:30", "12:00", "12:30"]


def test_a_time_that_would_cost_starts_is_not_taken_at_once(house, stage):
    said = house.tell(["clock", "11:35"])
    assert said == (
        "That would miss 3 performances: 10:30, 11:00, 11:30. "
        "If you mean it, say clock 11:35 again within a minute."
    )
    assert stage.clock.now() == stage.at("10:05")
    assert coming(stage) == ALL
    assert not stage.state.missed


def test_said_again_within_a_minute_it_is_meant(house, stage):
    house.tell(["clock", "11:35"])
    stage.turn("10:05:50")
    assert house.tell(["clock", "11:35"]).startswith("It is 11:35 on Saturday 13 February.")
    assert stage.clock.now() == stage.at("11:35")
    assert coming(stage) == ["12:00", "12:30"]


@pytest.mark.parametrize("again", ["11:36", "12:35"])
def test_another_time_is_asked_for_itself(house, stage, again):
    house.tell(["clock", "11:35"])
    assert house.tell(["clock", again]).startswith("That would miss")
    assert coming(stage) == ALL


def test_said_again_too_late_it_is_asked_again(house, stage):
    house.tell(["clock", "11:35"])
    stage.turn("10:06:10")
    assert house.tell(["clock", "11:35"]).startswith("That would miss")


def test_asked_and_then_set_otherwise_the_first_is_forgotten(house, stage):
    house.tell(["clock", "11:35"])
    house.tell(["clock", "10:06"])
    assert house.tell(["clock", "11:35"]).startswith("That would miss")


def test_a_time_that_costs_nothing_is_taken_at_once(house, stage):
    assert house.tell(["clock", "10:20"]).startswith("It is 10:20")
    assert coming(stage) == ALL


def test_undo_gives_back_the_time_and_the_starts(house, stage):
    stage.running.asked("key")
    house.tell(["clock", "11:35"])
    house.tell(["clock", "11:35"])
    assert [p.outcome for p in stage.state.promises] == [Outcome.BROKEN]
    stage.clock.turn_to(stage.at("11:35") + 40 * timedelta(seconds=1))
    said = house.tell(["undo"])
    assert said.startswith("clock 11:35 is taken back. It is 10:05. 10:30 Bells is new")
    assert stage.clock.now() == stage.at("10:05:40")
    assert coming(stage) == ALL
    assert not stage.state.missed
    assert [p.outcome for p in stage.state.promises] == [Outcome.OPEN]
    stage.turn("13:30")
    assert [f"{p.started:%H:%M}" for p in stage.state.played] == ALL
    assert {p.outcome for p in stage.state.promises} == {Outcome.KEPT}


def test_the_undo_key_does_it_too(house, stage):
    house.tell(["clock", "11:35"])
    house.tell(["clock", "11:35"])
    house.key("u")
    assert coming(stage) == ALL


def test_a_start_that_came_due_meanwhile_still_starts_if_its_minute_is_not_over(house, stage):
    stage.turn("10:29:40")
    house.tell(["clock", "11:35"])
    house.tell(["clock", "11:35"])
    stage.clock.turn_to(stage.at("11:35:40"))
    house.tell(["undo"])
    assert [f"{p.started:%H:%M:%S}" for p in stage.state.played] == ["10:30:20"]


def test_after_a_minute_it_is_too_late_to_undo(house, stage):
    house.tell(["clock", "11:35"])
    house.tell(["clock", "11:35"])
    stage.clock.turn_to(stage.at("11:36:01"))
    assert house.tell(["undo"]).startswith("There is nothing")
    assert coming(stage) == ["12:00", "12:30"]


def test_a_clock_set_back_is_undone_too(house, stage):
    stage.turn("10:50")
    assert [f"{p.started:%H:%M}" for p in stage.state.played] == ["10:30"]
    house.tell(["clock", "10:10"])
    assert stage.clock.now() == stage.at("10:10")
    stage.clock.turn_to(stage.at("10:10:30"))
    assert "It is 10:50" in house.tell(["undo"])
    assert stage.clock.now() == stage.at("10:50:30")
    stage.turn("13:30")
    assert [f"{p.started:%H:%M}" for p in stage.state.played] == ALL


def test_too_late_to_undo_setting_it_right_gives_the_starts_back(house, stage):
    stage.running.asked("key")
    house.tell(["clock", "11:35"])
    house.tell(["clock", "11:35"])
    stage.clock.turn_to(stage.at("12:06"))
    assert [f"{p.started:%H:%M}" for p in stage.state.played] == ["12:00"]
    assert house.tell(["undo"]).startswith("There is nothing")
    assert "10:36" in house.tell(["clock", "10:36"])
    assert coming(stage) == ["11:00", "11:30", "12:30"]
    assert [f"{slot.starts:%H:%M}" for slot in stage.state.missed] == ["10:30"]
    stage.turn("13:30")
    played = [f"{p.started:%H:%M}" for p in stage.state.played]
    assert played == ["12:00", "11:00", "11:30", "12:30"]


@pytest.mark.parametrize("said", ["10:25", "10:40"])
def test_what_plays_takes_no_longer_and_no_shorter_when_the_clock_is_set(house, stage, said):
    stage.turn("10:31")
    house.tell(["clock", said])
    set_at = stage.at(said)
    stage.clock.turn_to(set_at + 3 * MINUTE + 55 * SECOND)
    assert stage.state.playing.piece == "Bells"
    stage.clock.turn_to(set_at + 4 * MINUTE)
    assert stage.state.playing is None


def test_nor_when_that_is_undone(house, stage):
    stage.turn("10:31")
    house.tell(["clock", "10:40"])
    stage.clock.turn_to(stage.at("10:40:30"))
    house.tell(["undo"])
    stage.turn("10:34:59")
    assert stage.state.playing.piece == "Bells"
    stage.turn("10:35")
    assert stage.state.playing is None


def test_a_promise_that_lies_ahead_again_is_open_again(house, stage):
    stage.running.asked("key")
    house.tell(["clock", "11:35"])
    house.tell(["clock", "11:35"])
    stage.clock.turn_to(stage.at("11:37"))
    house.tell(["clock", "10:08"])
    assert coming(stage) == ALL
    promise = next(p for p in stage.state.promises if p.told == stage.at("10:30"))
    assert promise.outcome is Outcome.OPEN


def test_what_was_set_right_afterwards_is_undone_by_itself_alone(house, stage):
    house.tell(["clock", "10:12"])
    house.tell(["clock", "10:15"])
    house.tell(["undo"])
    assert stage.clock.now() == stage.at("10:12")
    assert house.tell(["undo"]).startswith("There is nothing")


def test_undo_of_a_later_order_leaves_the_clock_alone(house, stage):
    house.tell(["clock", "10:12"])
    house.tell(["skip"])
    assert house.tell(["undo"]).startswith("skip is taken back")
    assert stage.clock.now() == stage.at("10:12")
    assert coming(stage) == ALL


def test_a_doubted_clock_is_doubted_again_after_undo(house, stage):
    stage.clock.steady.trust = Doubted("it woke with last year's date", stage.at("10:05"))
    stage.running.trusts(stage.clock.trust)
    house.tell(["clock", "10:12"])
    assert not stage.state.doubt
    house.tell(["undo"])
    assert stage.state.doubt == "it woke with last year's date"
    told = [e for e in stage.journal if isinstance(e, happened.ClockDoubted)]
    assert len(told) == 2


def test_the_journal_tells_the_same_story(house, stage, short_day):
    stage.running.asked("key")
    house.tell(["clock", "11:35"])
    house.tell(["clock", "11:35"])
    house.tell(["undo"])
    fresh = DayState(short_day, timedelta(seconds=60))
    assert fold(fresh, stage.journal) == stage.state


def test_after_a_restart_a_setting_is_no_longer_undone(house, stage, open_stage):
    house.tell(["clock", "10:12"])
    again = open_stage("10:12:20", journal=stage.journal)
    assert again.running.tell(["undo"]).startswith("There is nothing")


def test_would_tells_the_cost_and_changes_nothing(house, stage):
    said = house.tell(["would", "clock", "11:05"])
    assert said == (
        "It becomes 11:05 on Saturday 13 February. That would miss 2 performances: 10:30, 11:00."
    )
    assert house.tell(["clock", "11:05"]).startswith("That would miss"), "would does not count"


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("14:05", "2027-02-13 14:05"),
        ("9:05", "2027-02-13 09:05"),
        ("9.05", "2027-02-13 09:05"),
        ("14:05:30", "2027-02-13 14:05:30"),
        ("2027-02-14 10:05", "2027-02-14 10:05"),
        ("2027-02-14T10:05", "2027-02-14 10:05"),
        ("2027-02-14T10:05+01:00", "2027-02-14 09:05"),
        ("Sunday 10:05", "2027-02-14 10:05"),
        ("sun 10:05", "2027-02-14 10:05"),
        ("Saturday 10:05", "2027-02-13 10:05"),
        ("friday 10:05", "2027-02-19 10:05"),
    ],
)
def test_times_as_keepers_write_them(short_day, said, meant):
    now = datetime(2027, 2, 13, 12, tzinfo=UTC)
    moment = moment_said(said.split(), short_day, now, Trusted(Source.BATTERY, now))
    assert moment == datetime.fromisoformat(meant).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    "said", ["", "25:00", "noon", "Sunday", "su 10:05", "10:05 Sunday", "2027-02-30 10:05", "1 2 3"]
)
def test_what_is_no_time_is_a_line_that_shows_one(short_day, said):
    now = datetime(2027, 2, 13, 12, tzinfo=UTC)
    with pytest.raises(QuestionError, match="is no time; say one like 14:05"):
        moment_said(said.split(), short_day, now, pretended(now))


def test_a_slip_on_a_night_when_nothing_is_to_come_costs_nothing(open_stage):
    stage = open_stage("12:50")
    clock: SimulatedClock = stage.clock
    stage.turn("12:55")
    stage.running.tell(["close", "12:59"])
    house = House(clock.steady, clock, lambda house: stage.running, OneDay(), lambda: None)
    assert house.tell(["clock", "12:58"]).startswith("It is 12:58")
