"""What buttons, dial, knobs and a sensor do to the house."""

from __future__ import annotations

from datetime import timedelta

import pytest

from showtime.fair.wiring import Sets
from showtime.live import House, Stage
from showtime.wording import Kind


class OneDay:
    def following(self, running):
        return None

    def turns_to(self, day, now):
        return None


@pytest.fixture
def stage(open_stage):
    opened = open_stage()
    opened.turn("10:05")
    return opened


@pytest.fixture
def house(stage):
    clock = stage.clock
    return House(clock.steady, clock, lambda house: stage.running, OneDay(), lambda: None)


def test_a_press_asks_and_the_answer_names_the_button(house, stage):
    house.hands.do(("ask",), "pin 17")
    assert stage.state.last_answer.trigger == "pin 17"
    assert house.hands.speaking


def test_a_long_press_holds_and_a_double_one_goes_on(house, stage):
    house.hands.do(("hold",), "Presenter")
    assert stage.state.stage is Stage.HELD
    house.hands.do(("release",), "Presenter")
    assert stage.state.stage is Stage.WAITING


def test_an_order_that_cannot_be_is_a_line_for_the_keeper(house):
    house.hands.do(("off", "25:00"), "Presenter")
    assert "25:00" in house.shown


@pytest.mark.parametrize("deed", [("late",), ("fly",), ("piece", "Nothing")])
def test_orders_that_mean_nothing_are_known_before_they_are_given(house, deed):
    assert house.hands.wrong(deed)


@pytest.mark.parametrize("deed", [("ask",), ("hold",), ("late", "5"), ("end",), ("release",)])
def test_orders_that_mean_something_are_not_complained_of(house, stage, deed):
    before = stage.state
    assert house.hands.wrong(deed) == ""
    assert stage.state is before


def test_after_the_day_nothing_is_done(house, stage):
    stage.running.end()
    house.hands.do(("ask",), "pin 17")
    assert stage.state.last_answer is None
    assert not house.hands.gathered("pin 22")


def test_people_who_gather_are_called_to_the_next_one(house, stage):
    assert house.hands.gathered("pin 22")
    said = stage.state.last_answer
    assert (said.kind, said.told) == (Kind.CALL, stage.at("10:30"))
    assert said.trigger == "pin 22"


def test_people_who_gather_hear_of_a_change_first(house, stage):
    house.hands.do(("ask",), "pin 17")
    stage.turn("10:08")
    house.tell(["late", "5"])
    stage.turn("10:10")
    assert house.hands.gathered("pin 22")
    assert stage.state.last_answer.kind is Kind.CHANGED


def test_nobody_is_called_before_the_fair_is_open(open_stage):
    early = open_stage()
    clock = early.clock
    house = House(clock.steady, clock, lambda house: early.running, OneDay(), lambda: None)
    clock.steady.set_to(early.at("9:40"))
    assert not house.hands.gathered("pin 22")


def test_people_who_were_told_just_now_are_not_called(house, stage):
    house.hands.do(("ask",), "pin 17")
    said = stage.state.last_answer
    stage.turn("10:05:30")
    assert not house.hands.gathered("pin 22")
    assert stage.state.last_answer is said


@pytest.mark.parametrize("moment", ["11:15", "10:31", "12:59"])
def test_nobody_is_called_in_a_quiet_time_nor_while_it_plays_nor_when_none_is_left(
    house, stage, moment
):
    stage.turn(moment)
    said = stage.state.last_answer
    assert not house.hands.gathered("pin 22")
    assert stage.state.last_answer is said


def test_nobody_is_called_while_it_is_held(house):
    house.tell(["hold"])
    assert not house.hands.gathered("pin 22")


def test_the_hours_tell_which_half_of_the_day_is_meant(house):
    assert house.hands.hours() == (600, 780, 605)


def test_the_times_that_can_be_stepped_to_are_those_that_the_rules_allow(house, stage):
    times = house.hands.allowed(Sets.NEXT)
    assert 0 < len(times) <= 12
    assert list(times) == sorted(times)
    assert all(605 <= minute <= 780 and minute % 5 == 0 for minute in times)
    for minute in times:
        clock = f"{minute // 60:02}:{minute % 60:02}"
        assert "cannot" not in stage.running.would(["add", clock])


def test_a_step_right_after_another_is_offered_the_same_times_and_a_later_one_what_is_left(
    house, stage
):
    times = house.hands.allowed(Sets.NEXT)
    house.hands.understood(times[0], Sets.NEXT)
    assert house.hands.allowed(Sets.NEXT) == times
    stage.turn("10:08")
    house.tell(["off", "11:00"])
    assert min(house.hands.allowed(Sets.NEXT)) >= 610


def test_the_clock_can_be_stepped_to_any_five_minutes(house):
    assert list(house.hands.allowed(Sets.CLOCK))[:3] == [605, 610, 615]


def test_the_clock_that_was_set_by_hand_is_set(house, stage):
    house.hands.understood(608, Sets.CLOCK)
    assert "10:08" in house.shown
    house.hands.counts(608, Sets.CLOCK)
    assert abs(stage.clock.steady.now() - stage.at("10:08")) < timedelta(seconds=1)


def test_what_is_forgotten_or_not_caught_changes_nothing(house, stage):
    before = stage.state
    house.hands.cancelled(608, Sets.NEXT)
    assert "10:08" in house.shown
    assert stage.state is before
    house.hands.not_caught("a break is too long")
    assert "a break is too long" in house.shown
    assert stage.state.upcoming == before.upcoming
    assert stage.state.promises == before.promises
