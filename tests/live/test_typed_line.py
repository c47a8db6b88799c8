"""The keeper types an order on the screen, in the words of `showtime tell`."""

from __future__ import annotations

from datetime import timedelta

import pytest

from showtime.live import House, Stage
from showtime.live import events as happened
from showtime.live.keeper.line import OPENS, Line, typed

ENTER, ESCAPE, BACK, ALL = "\r", "\x1b", "\x7f", "\x15"


class OneDay:
    def following(self, running):
        return None

    def turns_to(self, day, now):
        return None


class Watching:
    """A face that remembers what it was shown, and does something at each showing."""

    every = 1.0

    def __init__(self):
        self.line, self.note, self.then = None, "", []

    def show(self, state, now, note, line):
        self.line, self.note = line, note

    def close(self):
        pass


@pytest.fixture
def stage(open_stage):
    opened = open_stage()
    opened.turn("10:05")
    return opened


@pytest.fixture
def house(stage):
    clock = stage.clock
    return House(clock.steady, clock, lambda house: stage.running, OneDay(), lambda: None)


def press(house, keys):
    for key in keys:
        house.key(key)


def coming(stage):
    return [f"{slot.starts:%H:%M} {slot.piece}" for slot in stage.state.upcoming]


def test_any_order_can_be_typed(house, stage):
    press(house, OPENS + "off 11:00" + ENTER)
    assert "11:00 Dance" not in coming(stage)
    assert house.line is None
    assert house.shown == "11:00 Dance is left out."


def test_before_enter_it_shows_what_it_would_do_and_nothing_happens(house, stage):
    press(house, OPENS + "off 11:00")
    assert house.line == Line("off 11:00", "11:00 Dance is left out.", means=True)
    assert "11:00 Dance" in coming(stage)


def test_escape_gives_up(house, stage):
    press(house, OPENS + "off 11:00" + ESCAPE)
    assert house.line is None
    assert "11:00 Dance" in coming(stage)


def test_a_slip_is_wiped_out(house, stage):
    press(house, OPENS + "off 11:30" + BACK * 2 + "00" + ENTER)
    assert "11:00 Dance" not in coming(stage)
    assert "11:30 Bells" in coming(stage)


def test_the_whole_line_is_wiped_out_at_once(house, stage):
    press(house, OPENS + "off 11:30" + ALL + "skip" + ENTER)
    assert coming(stage)[0] == "11:00 Dance"
    assert "11:30 Bells" in coming(stage)


def test_what_means_nothing_stays_to_be_mended(house, stage):
    press(house, OPENS + "of 11:00" + ENTER)
    assert house.line.text == "of 11:00"
    assert house.line.wrong
    assert "'of 11:00' means nothing here" in house.line.hint
    assert "\n" not in house.line.hint
    press(house, ALL + "off 11:00" + ENTER)
    assert "11:00 Dance" not in coming(stage)


def test_while_typing_it_shows_how_the_order_is_written(house):
    press(house, OPENS)
    assert house.line.hint.startswith("play, hold, release")
    press(house, "o")
    assert house.line.hint == "off TIME: call one start off"
    press(house, "ff ")
    assert house.line.hint == "off TIME: call one start off"


def test_letters_are_no_keys_while_a_line_is_open(house, stage):
    press(house, OPENS + "qhlsrpcu")
    assert stage.state.stage is Stage.WAITING
    assert house.line.text == "qhlsrpcu"


def test_the_hold_keys_letter_holds_in_the_line_too(house, stage):
    press(house, OPENS + "h" + ENTER)
    assert stage.state.stage is Stage.HELD


def test_the_space_key_asks_when_no_line_is_open_and_before_anything_is_typed(house, stage):
    press(house, " ")
    assert stage.state.asked == 1
    press(house, OPENS + " ")
    assert stage.state.asked == 2
    press(house, "add 12:50 Bells" + ESCAPE)
    assert stage.state.asked == 2
    press(house, " ")
    assert stage.state.asked == 3


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("add 10:40 Bells", happened.Added),
        ("close 12:15", happened.ClosedEarly),
        ("piece Dance", happened.PieceChosen),
        ('piece "dance"', happened.PieceChosen),
        ("quiet 11:40 11:50 the mayor's speech", happened.QuietAdded),
        ("tell late 5", happened.Delayed),
        ("hold a string snapped", happened.Held),
        ("ask", happened.Answered),
        ("clock 10:10", happened.ClockTrusted),
    ],
)
def test_each_order_that_has_no_key_of_its_own(house, stage, text, kind):
    press(house, OPENS + text + ENTER)
    assert house.line is None
    assert any(isinstance(event, kind) for event in stage.journal)


def test_the_days_work_goes_on_while_a_line_is_open(house, stage):
    press(house, OPENS + "late 3")
    stage.turn("10:31")
    assert stage.state.playing.piece == "Bells"
    assert house.line.text == "late 3"


def test_a_line_left_open_is_closed_after_a_minute(house, stage):
    face = Watching()
    press(house, OPENS + "la")
    shows = []

    def show(state, now, note, line):
        shows.append(line)
        if line is None:
            house.end()

    face.show = show
    stage.clock.machine.go_on(timedelta(seconds=61))
    house.live(face)
    assert shows[0].text == "la"
    assert shows[-1] is None


def test_a_long_order_is_not_endless():
    line = Line("")
    for _ in range(1000):
        line = typed(line, "x")
    assert len(line.text) == 200


@pytest.mark.parametrize("key", ["\t", "\x00", "\x1c", "\x7f"])
def test_keys_that_write_nothing_change_nothing(key):
    assert typed(Line(""), key) == Line("")


def test_enter_on_an_empty_line_closes_it():
    assert typed(Line("  "), ENTER) is None
