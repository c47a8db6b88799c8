"""A time may be turned to as well as dialled; it is spoken back and counts in the same way."""

from __future__ import annotations

from showtime.triggers.entry import Entry, Open, Told

S = 1_000_000
TIN_ORCHARD = Open(10 * 60, 17 * 60, 14 * 60 + 12)
HALF_PAST_TWO = 14 * 60 + 30


def test_it_is_spoken_back_at_once_and_counts_after_a_pause():
    entry = Entry(TIN_ORCHARD)
    assert entry.turned(0, 2, 30) == Told("understood", HALF_PAST_TWO, "")
    assert entry.tick(5 * S - 1) is None
    assert entry.tick(5 * S) == Told("counts", HALF_PAST_TWO, "")


def test_turning_on_takes_it_back():
    entry = Entry(TIN_ORCHARD)
    entry.turned(0, 2, 30)
    assert entry.withdraw(2 * S) == Told("cancelled", HALF_PAST_TWO, "")
    assert entry.tick(60 * S) is None


def test_a_new_position_takes_the_place_of_the_one_before():
    entry = Entry(TIN_ORCHARD)
    entry.turned(0, 2, 30)
    assert entry.turned(3 * S, 3, 0) == Told("understood", 15 * 60, "")
    assert entry.tick(7 * S) is None
    assert entry.tick(8 * S) == Told("counts", 15 * 60, "")


def test_the_dial_cancels_what_the_knobs_said():
    entry = Entry(TIN_ORCHARD)
    entry.turned(0, 2, 30)
    assert entry.digit(S, 1) == Told("cancelled", HALF_PAST_TWO, "")


def test_there_is_nothing_to_take_back_before_anything_was_set():
    entry = Entry(TIN_ORCHARD)
    assert entry.withdraw(S) is None
    entry.digit(2 * S, 1)
    assert entry.withdraw(3 * S) is None
    assert entry.tick(60 * S) is None
