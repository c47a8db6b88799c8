"""One button in the keeper's pocket."""

from __future__ import annotations

from random import Random

import pytest

from showtime.triggers.presses import DEBOUNCE, Presses

MS = 1_000
LONG = 600 * MS
DOUBLE = 300 * MS


class Button:
    """A button that bounces; what was told is noted with its instant."""

    def __init__(self, presses: Presses, luck: Random | None = None) -> None:
        self.presses = presses
        self.now = 0
        self.told: list[tuple[str, int]] = []
        self._luck = luck

    def down(self) -> Button:
        return self._move(True)

    def up(self) -> Button:
        return self._move(False)

    def wait(self, ms: float) -> Button:
        until = self.now + round(ms * MS)
        while self.now < until:
            self.now = min(self.now + 5 * MS, until)
            self._note(self.presses.tick(self.now))
        return self

    def press(self, ms: float = 120) -> Button:
        return self.down().wait(ms).up()

    def _move(self, down: bool) -> Button:
        self._note(self.presses.edge(self.now, down))
        for _ in range(self._luck.randint(0, 4) if self._luck else 0):
            for level in (not down, down):
                self.now += self._luck.randint(10, 1_500)
                self._note(self.presses.edge(self.now, level))
        return self

    def _note(self, told: str | None) -> None:
        self.told += [(told, self.now)] if told else []

    @property
    def kinds(self) -> list[str]:
        return [kind for kind, _ in self.told]


def test_the_answer_comes_as_the_button_goes_down():
    button = Button(Presses()).wait(1_000).down()
    assert button.told == [("short", 1_000 * MS)]
    assert button.wait(5_000).up().wait(1_000).kinds == ["short"]


def test_with_a_long_press_it_comes_as_the_button_is_let_go():
    button = Button(Presses(LONG)).wait(1_000).press(150)
    assert button.told == [("short", 1_150 * MS)]


def test_a_long_press_counts_while_it_is_still_held():
    button = Button(Presses(LONG)).wait(1_000).down().wait(5_000)
    assert button.told == [("long", 1_600 * MS)]
    assert button.up().wait(1_000).kinds == ["long"]


def test_two_presses_are_double_as_the_second_goes_down():
    button = Button(Presses(LONG, DOUBLE)).wait(1_000).press(100).wait(200).down()
    assert button.told == [("double", 1_300 * MS)]
    assert button.wait(3_000).up().wait(3_000).kinds == ["double"]


def test_a_short_one_waits_no_longer_than_a_second_one_may_take():
    button = Button(Presses(LONG, DOUBLE)).wait(1_000).press(100).wait(3_000)
    assert button.told == [("short", 1_400 * MS)]


def test_two_slow_presses_are_two_short_ones():
    button = Button(Presses(LONG, DOUBLE)).press(100).wait(350).press(100).wait(1_000)
    assert button.kinds == ["short", "short"]


def test_three_quick_presses_are_a_double_and_a_short_one():
    button = Button(Presses(LONG, DOUBLE))
    for _ in range(3):
        button.press(80).wait(100)
    assert button.wait(1_000).kinds == ["double", "short"]


def test_a_press_and_then_a_long_one_within_the_time_of_a_double_one_is_double():
    button = Button(Presses(LONG, DOUBLE)).press(100).wait(100).press(2_000).wait(1_000)
    assert button.kinds == ["double"]


def test_double_without_long_knows_only_those_two():
    button = Button(Presses(double=DOUBLE)).press(5_000).wait(400).press(50).wait(100).press(50)
    assert button.wait(1_000).kinds == ["short", "double"]


@pytest.mark.parametrize("made", [{}, {"long": LONG}, {"long": LONG, "double": DOUBLE}])
def test_a_button_held_when_the_day_begins_was_not_pressed(made):
    button = Button(Presses(**made, held=True)).wait(5_000).up().wait(1_000)
    assert button.told == []
    assert button.press().wait(1_000).kinds == ["short"]


@pytest.mark.parametrize("made", [{}, {"long": LONG}, {"long": LONG, "double": DOUBLE}])
def test_a_release_without_a_press_is_none(made):
    assert Button(Presses(**made)).up().wait(1_000).told == []


def test_a_tap_shorter_than_the_bounces_is_still_a_press():
    assert Button(Presses(LONG)).press(4).wait(100).kinds == ["short"]


def test_keys_without_bounces_may_be_as_quick_as_they_like():
    button = Button(Presses(debounce=0))
    for _ in range(20):
        button.press(1).wait(1)
    assert button.kinds == ["short"] * 20


def test_it_is_busy_only_while_time_may_tell_something():
    button = Button(Presses(LONG, DOUBLE))
    assert not button.presses.busy
    button.down()
    assert button.presses.busy
    button.wait(100).up()
    assert button.presses.busy
    button.wait(400)
    assert not button.presses.busy


def test_a_thousand_presses_with_bounces_are_told_as_they_were_meant():
    luck = Random(6)
    button, meant = Button(Presses(LONG, DOUBLE), luck), []
    for _ in range(1_000):
        meant.append(luck.choice(("short", "long", "double")))
        if meant[-1] == "long":
            button.press(luck.uniform(620, 2_000))
        else:
            button.press(luck.uniform(30, 500))
        if meant[-1] == "double":
            button.wait(luck.uniform(30, 270)).press(luck.uniform(30, 500))
        button.wait(luck.uniform(330, 1_000))
    assert button.kinds == meant


def test_it_does_not_matter_how_often_the_time_is_looked_at():
    for seed in range(200):
        often, seldom, luck = Presses(LONG, DOUBLE), Presses(LONG, DOUBLE), Random(seed)
        now, down, told = 0, False, ([], [])
        for _ in range(20):
            gap = luck.choice((3, 15, 60, 200, 400, 900)) * MS
            for at in range(now + MS, now + gap, 7 * MS):
                told[0].append(often.tick(at))
            now, down = now + gap, not down
            told[0].append(often.edge(now, down))
            told[1].append(seldom.edge(now, down))
        for presses, of in zip((often, seldom), told, strict=True):
            of.append(presses.tick(now + 90_000 * MS))
            of.append(presses.tick(now + 99_000 * MS))
        assert [each for each in told[0] if each] == [each for each in told[1] if each], seed


def test_a_contact_that_is_open_for_longer_than_it_bounces_was_let_go():
    button = Button(Presses()).down().wait(1).up().wait(DEBOUNCE / MS + 30).down()
    assert button.kinds == ["short", "short"]
