"""The keeper dials the time of the next performance, and the figure says what it understood."""

from __future__ import annotations

from random import Random

import pytest

from showtime.triggers import entry
from showtime.triggers.entry import BECOMES, Entry, Open, Told, resolved

S = 1_000_000
TIN_ORCHARD = Open(10 * 60, 17 * 60, 14 * 60 + 12)


class Dialling:
    """Somebody dials; the time passes in tenths of a second, as on the day."""

    def __init__(self, day: Open = TIN_ORCHARD) -> None:
        self.entry = Entry(day)
        self.now = 0
        self.told: list[Told] = []

    def wait(self, seconds: float) -> Dialling:
        for _ in range(round(seconds * 10)):
            self.now += S // 10
            self._note(self.entry.tick(self.now))
        return self

    def dial(self, digits: str, apart: float = 1.5) -> Dialling:
        for digit in digits:
            self._note(self.entry.digit(self.now, int(digit)))
            self.wait(apart)
        return self

    def mumble(self) -> Dialling:
        self._note(self.entry.doubt(self.now, "a make is too long"))
        return self

    def _note(self, told: Told | None) -> None:
        self.told += [told] if told else []

    @property
    def came_of_it(self) -> list[tuple[str, int | None]]:
        return [(told.what, told.minute) for told in self.told]


@pytest.mark.parametrize("digits", ["1430", "0230", "230"])
def test_a_time_is_spoken_back_and_counts_after_a_pause(digits):
    dialling = Dialling().dial(digits).wait(3)
    assert dialling.came_of_it == [("understood", 870)]
    dialling.wait(5)
    assert dialling.came_of_it == [("understood", 870), ("counts", 870)]
    assert dialling.wait(60).came_of_it[2:] == []


@pytest.mark.parametrize("digit", "0123456789")
def test_any_further_digit_cancels(digit):
    dialling = Dialling().dial("230").wait(4).dial(digit).wait(20)
    assert dialling.came_of_it == [("understood", 870), ("cancelled", 870)]


def test_even_one_that_was_not_heard_well_cancels():
    dialling = Dialling().dial("230").wait(4).mumble().wait(20)
    assert dialling.came_of_it == [("understood", 870), ("cancelled", 870)]


def test_dialling_the_right_time_at_once_cancels_the_wrong_one():
    dialling = Dialling().dial("230").wait(3).dial("1530").wait(10)
    assert dialling.came_of_it == [
        ("understood", 870),
        ("cancelled", 870),
        ("understood", 930),
        ("counts", 930),
    ]


@pytest.mark.parametrize("place", range(4))
def test_one_doubtful_digit_spoils_the_entry_wherever_it_comes(place):
    dialling = Dialling().dial("1430"[:place]).mumble().dial("1430"[place + 1 :]).wait(10)
    assert dialling.told == [Told("not caught", None, "a make is too long")]


@pytest.mark.parametrize("digits", ["1", "14", "14305", "143055", "0" * 30])
def test_too_few_or_too_many_digits_are_no_time(digits):
    assert [what for what, _ in Dialling().dial(digits, 1).wait(10).came_of_it] == ["not caught"]


def test_every_three_or_four_digits_are_their_time_or_none():
    for number in range(10_000):
        for digits in {f"{number:04}", f"{number:03}"}:
            typed = Entry(Open(0, 1440, None))
            for place, digit in enumerate(digits):
                typed.digit(place * S, int(digit))
            told = typed.tick(10 * S)
            hour, minute = int(digits[:-2]), int(digits[-2:])
            assert told is not None
            if hour > 23 or minute > 59:
                assert told.what == "not caught"
            else:
                assert told.what == "understood"
                assert told.minute is not None
                assert told.minute % 720 == (hour * 60 + minute) % 720
                assert told.minute == hour * 60 + minute or 1 <= hour <= 12


def test_a_slow_winder_is_waited_for():
    dialling = Dialling().dial("143", 3.5)
    dialling.entry.busy(dialling.now)
    dialling.wait(2).dial("0").wait(8)
    assert dialling.came_of_it == [("understood", 870), ("counts", 870)]


def test_the_pause_begins_when_the_figure_has_spoken():
    dialling = Dialling().dial("230").wait(4)
    for _ in range(30):
        dialling.entry.busy(dialling.now)
        dialling.wait(0.1)
    assert dialling.wait(4.5).came_of_it == [("understood", 870)]
    assert dialling.wait(1).came_of_it == [("understood", 870), ("counts", 870)]


def test_a_time_never_counts_while_the_dial_turns_to_cancel_it():
    dialling = Dialling().dial("230").wait(6.5)
    assert dialling.came_of_it == [("understood", 870)]
    for _ in range(20):
        dialling.entry.busy(dialling.now)
        dialling.wait(0.1)
    assert dialling.dial("0").wait(9).came_of_it == [("understood", 870), ("cancelled", 870)]


def test_nothing_is_told_of_a_dial_left_alone():
    assert Dialling().wait(600).told == []


def hours_by_listing(hour: int, minute: int, day: Open) -> int:
    """The same rule, found by walking through the day minute by minute."""
    dialled = hour * 60 + minute
    if not 1 <= hour <= 12:
        return dialled
    meant = {dialled, (dialled + 720) % 1440}
    open_minutes = [at % 1440 for at in range(day.opens, day.closes + 1)]
    allowed = meant & set(open_minutes)
    if not allowed:
        return dialled
    start = day.opens if day.now is None else day.now
    return next(at % 1440 for at in range(start, start + 1440) if at % 1440 in allowed)


def test_a_twelve_hour_time_is_the_one_of_the_open_hours(full):
    luck = Random(12)
    for _ in range(3_000 if full else 300):
        opens = luck.randint(0, 1439)
        now = luck.choice([None, luck.randint(0, 1439)])
        day = Open(opens, opens + luck.randint(30, 1440), now)
        hour, minute = luck.randint(0, 23), luck.randint(0, 59)
        assert resolved(hour, minute, day) == hours_by_listing(hour, minute, day), (hour, day)


@pytest.mark.parametrize(
    ("hour", "minute", "day", "meant"),
    [
        (2, 30, TIN_ORCHARD, "14:30"),
        (11, 5, TIN_ORCHARD, "11:05"),
        (12, 0, TIN_ORCHARD, "12:00"),
        (5, 0, TIN_ORCHARD, "17:00"),  # closing time itself
        (7, 0, TIN_ORCHARD, "07:00"),  # not open either way: as dialled
        (19, 0, TIN_ORCHARD, "19:00"),
        (12, 30, Open(18 * 60, 25 * 60 + 30, 23 * 60), "00:30"),
        (1, 0, Open(18 * 60, 25 * 60 + 30, 23 * 60), "01:00"),
        (9, 0, Open(8 * 60, 22 * 60, 10 * 60), "21:00"),  # both open: the next to come
        (9, 0, Open(8 * 60, 22 * 60, 8 * 60), "09:00"),
    ],
)
def test_what_is_meant_at_a_fair_of_these_hours(hour, minute, day, meant):
    assert "{:02}:{:02}".format(*divmod(resolved(hour, minute, day), 60)) == meant


STATES = {entry.EMPTY, entry.COLLECTING, entry.SPOILT, entry.UNDERSTOOD}


def test_every_state_of_the_table_can_be_reached_and_left():
    assert {state for state, _ in BECOMES} == STATES
    assert set(BECOMES.values()) == STATES


def test_only_what_was_spoken_back_can_count():
    into_understood = {what for (_, what), state in BECOMES.items() if state == entry.UNDERSTOOD}
    assert into_understood == {entry.TURNED, entry.IS_TIME}
    assert [state for state, what in BECOMES if what == entry.IS_OVER] == [entry.UNDERSTOOD]
    assert (entry.SPOILT, entry.IS_TIME) not in BECOMES


def test_in_any_order_of_happenings_what_counts_was_spoken_back_last(full):
    luck = Random(99)
    for _ in range(2_000 if full else 300):
        dialling = Dialling()
        for _ in range(40):
            act = luck.choice(("dial", "dial", "dial", "mumble", "wait", "turn", "withdraw"))
            if act == "dial":
                dialling.dial(luck.choice("0123"), luck.choice((0.5, 2)))
            elif act == "mumble" and luck.random() < 0.3:
                dialling.mumble()
            elif act == "wait":
                dialling.wait(luck.choice((1, 3, 6)))
            elif act == "turn" and luck.random() < 0.3:
                dialling.told.append(dialling.entry.turned(dialling.now, 3, 25))
            elif act == "withdraw" and luck.random() < 0.3:
                told = dialling.entry.withdraw(dialling.now)
                dialling.told += [told] if told else []
        for before, told in zip([None, *dialling.told], dialling.told, strict=False):
            if told.what in ("counts", "cancelled"):
                assert before == Told("understood", told.minute, "")
