"""A dial whose off-normal contact is wired tells by itself where a digit begins and ends."""

from __future__ import annotations

from random import Random

import pytest

from showtime.triggers.dial import Dial, Heard
from showtime.triggers.worn_dial import HOMECOMING, WINDING, Changes, WornDial, levels

S = 1_000_000


class Wired:
    """A dial with both contacts on wires, and what it told."""

    def __init__(self) -> None:
        self.dial = Dial(0, off_normal=True)
        self.told: list[Heard] = []
        self._happenings: list[tuple[int, str, bool]] = []

    def pulse(self, changes: Changes) -> None:
        self._happenings += [(at, "pulse", is_open) for at, is_open in levels(changes)]

    def turned(self, left: int, came_home: int, luck: Random | None = None) -> None:
        """The off-normal contact, which bounces too."""
        for at, away in ((left, True), (came_home, False)):
            self._happenings.append((at, "away", away))
            if luck:
                there, back = sorted(at + luck.randint(1, 5_000) for _ in range(2))
                self._happenings += [(there, "away", not away), (back, "away", away)]

    def dialled(self, digit: int, at: int, dial: WornDial, luck: Random) -> int:
        """Returns when it was home."""
        changes = dial.turn(digit, at + WINDING, luck)
        self.pulse(changes)
        self.turned(at, changes[-1] + HOMECOMING, luck)
        return changes[-1] + HOMECOMING

    def wait(self, until: int) -> list[Heard]:
        for at, contact, state in sorted(self._happenings, key=lambda happening: happening[0]):
            tell = self.dial.edge if contact == "pulse" else self.dial.off_normal
            self._note(tell(at, state))
        self._note(self.dial.tick(until))
        self._happenings = []
        return self.told

    def _note(self, heard: Heard | None) -> None:
        self.told += [heard] if heard else []


@pytest.fixture
def wired() -> Wired:
    return Wired()


def test_digits_may_follow_each_other_as_fast_as_fingers_can(full):
    luck = Random(4)
    for _ in range(2_000 if full else 200):
        wired, at, digits = Wired(), S, [luck.randint(0, 9) for _ in range(4)]
        for digit in digits:
            dial = WornDial(luck.uniform(7, 12), luck.uniform(0.55, 0.75), jitter=2_500)
            at = wired.dialled(digit, at, dial, luck) + 20_000
        assert [each.digit for each in wired.wait(at + S)] == digits


def test_the_digit_is_known_when_the_dial_is_home(wired):
    home = wired.dialled(7, S, WornDial(), Random(5))
    (told,) = wired.wait(home + 10_000)
    assert told == Heard(7, "", home)


def test_a_lost_only_pulse_is_noticed(wired):
    wired.turned(S, S + 300_000)
    assert [each.doubt for each in wired.wait(3 * S)] == ["the dial turned without a pulse"]


def test_pulses_of_a_dial_at_rest_are_doubted(wired):
    wired.pulse(WornDial().turn(3, S, Random(6)))
    (told,) = wired.wait(4 * S)
    assert told.doubt == "pulses came while the dial was at rest"


def test_a_long_pause_within_a_turn_is_doubted_and_not_two_digits(wired):
    luck = Random(7)
    first = WornDial().turn(2, S + WINDING, luck)
    wired.pulse(first)
    second = WornDial().turn(3, first[-1] + 800_000, luck)
    wired.pulse(second)
    wired.turned(S, second[-1] + HOMECOMING)
    assert [each.doubt for each in wired.wait(9 * S)] == ["a make is too long"]


def test_a_contact_that_does_not_come_home_is_told_once(wired):
    wired.pulse(WornDial().turn(2, S + WINDING, Random(8)))
    wired.turned(S, 20 * S)
    told = wired.wait(30 * S)
    assert [each.doubt for each in told] == ["the dial did not come home"]
    home = wired.dialled(5, 40 * S, WornDial(), Random(9))
    assert wired.wait(home + S)[-1].digit == 5


def test_a_finger_may_rest_in_the_dial_before_it_lets_go(wired):
    changes = WornDial().turn(4, 20 * S, Random(10))
    wired.pulse(changes)
    wired.turned(S, changes[-1] + HOMECOMING)
    assert [each.digit for each in wired.wait(30 * S)] == [4]


def test_a_spoilt_turn_does_not_spoil_the_next(wired):
    wired.turned(S, S + 300_000)
    home = wired.dialled(9, 2 * S, WornDial(), Random(11))
    told = wired.wait(home + S)
    assert [each.digit for each in told] == [None, 9]
