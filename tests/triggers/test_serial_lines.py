"""What a microcontroller sends, through noise, halves of lines, restarts and a wrong rate."""

from __future__ import annotations

import random

import pytest

from showtime.triggers.seriallines import LONGEST, WRAP, Lines
from showtime.triggers.signals import Contact, Edge, Pressed, Turned

NOW = 50_000_000


def signals(*came: bytes, at: int = NOW):
    lines = Lines()
    return [signal for part in came for signal in lines.take(part, at)]


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        (b"press", Pressed(NOW)),
        (b"down", Edge(Contact.BUTTON, True, NOW)),
        (b"up", Edge(Contact.BUTTON, False, NOW)),
        (b"pulse 0", Edge(Contact.PULSE, False, NOW)),
        (b"pulse 1", Edge(Contact.PULSE, True, NOW)),
        (b"dial 1", Edge(Contact.OFF_NORMAL, True, NOW)),
        (b"knobs 512 87", Turned(512, 87, NOW)),
        (b"knobs 65535 0", Turned(65_535, 0, NOW)),
        (b"here", Edge(Contact.PRESENCE, True, NOW)),
        (b"gone", Edge(Contact.PRESENCE, False, NOW)),
    ],
)
def test_each_line_is_what_it_says(line, meant):
    assert signals(line + b"\n") == [meant]
    assert signals(line + b"\r\n") == [meant]


def test_a_line_that_comes_letter_by_letter_is_one_line():
    assert signals(*(bytes([byte]) for byte in b"press\r\nknobs 1 2\r\n")) == [
        Pressed(NOW),
        Turned(1, 2, NOW),
    ]


@pytest.mark.parametrize(
    "line",
    [
        b"pres", b"press ", b"PRESS", b"press press", b"knobs 1", b"knobs 1 2 3", b"knobs 70000 1",
        b"knobs -1 2", b"pulse 2", b"pulse 0 99999999999", b"pulse 0 4294967296", b"pulse 0  5",
        b"pulse 0 5x", b"\xffpress", b"pr\x00ess", b"down -1", b"x" * 100,
    ],
)  # fmt: skip
def test_what_is_no_line_is_passed_over_and_the_next_one_heard(line):
    assert signals(line + b"\npress\n") == [Pressed(NOW)]


def test_a_check_that_is_right_is_believed_and_one_that_is_wrong_is_not():
    assert signals(b"press*67\n") == [Pressed(NOW)]
    assert signals(b"press*68\n") == []
    assert signals(b"press*\n") == []
    check = 0
    for byte in b"knobs 512 87":
        check ^= byte
    assert signals(b"knobs 512 87*%02x\n" % check) == [Turned(512, 87, NOW)]
    assert signals(b"knobs 512 7*%02x\n" % check) == []


def test_the_senders_own_times_keep_their_distances_though_lines_come_in_bunches():
    lines = Lines()
    first, second, third = lines.take(b"pulse 0 1000\npulse 1 61000\npulse 0 101000\n", NOW)
    assert (second.at - first.at, third.at - second.at) == (60_000, 40_000)


def test_the_senders_clock_may_run_over_in_the_middle_of_a_train():
    lines = Lines()
    last = WRAP - 30_000
    first, second = lines.take(b"pulse 0 %d\npulse 1 %d\n" % (last, (last + 60_000) % WRAP), NOW)
    assert second.at - first.at == 60_000


def test_after_a_silence_the_two_clocks_are_laid_beside_each_other_anew():
    """Crystals differ by some 50 parts in a million (common practice): 0.7 s in four hours."""
    lines = Lines()
    (first,) = lines.take(b"pulse 0 1000\n", NOW)
    later = 4 * 3_600_000_000
    (second,) = lines.take(b"pulse 0 %d\n" % ((1000 + later + 700_000) % WRAP), NOW + later)
    assert second.at == NOW + later


def test_a_sender_that_was_started_anew_counts_from_nothing_again():
    lines = Lines()
    (first,) = lines.take(b"pulse 0 90000000\n", NOW)
    (second,) = lines.take(b"pulse 1 20\n", NOW + 1_000_000)
    assert second.at == NOW + 1_000_000


def test_a_wrong_rate_is_noticed_and_the_right_one_too():
    lines = Lines()
    noise = random.Random(1)
    assert not lines.senseless
    for _ in range(4):
        assert list(lines.take(bytes(noise.randrange(128, 256) for _ in range(300)), NOW)) == []
    assert lines.senseless
    assert list(lines.take(b"\npress\n", NOW)) == [Pressed(NOW)]
    assert not lines.senseless


def test_one_garbled_line_is_no_wrong_rate():
    lines = Lines()
    for _ in range(20):
        list(lines.take(b"\xf0\x9f\npress\n", NOW))
        assert not lines.senseless


def test_silence_and_empty_lines_are_no_wrong_rate():
    lines = Lines()
    assert list(lines.take(b"\r\n\n\0\r\n" * 50, NOW)) == []
    assert not lines.senseless


def test_any_noise_does_no_harm_and_takes_no_room(full):
    """Nothing but a whole clean line is ever believed."""
    noise, lines = random.Random(7), Lines()
    likely = b"presdownulk0123456789 *\r\n"
    for _ in range(100_000 if full else 5_000):
        part = bytes(
            noise.choice(likely) if noise.random() < 0.8 else noise.randrange(256)
            for _ in range(noise.randrange(1, 40))
        )
        for signal in lines.take(part, NOW):
            if isinstance(signal, Turned):
                assert 0 <= signal.hour <= 65_535
            else:
                assert isinstance(signal, Edge | Pressed)


def test_a_line_without_end_is_not_kept():
    lines = Lines()
    for _ in range(1000):
        list(lines.take(b"7" * 1000, NOW))
    assert list(lines.take(b"\npress\n", NOW)) == [Pressed(NOW)]
    assert LONGEST < 64
