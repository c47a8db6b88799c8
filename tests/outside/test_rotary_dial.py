"""Rotary dials as telephony's own books and specifications describe them.

- J. Atkinson, Telephony, vol. 1: 10 pulses a second nominal, 7 to 12 accepted; the break is 63 to
  72 % of a pulse; ten pulses mean 0.
- AT&T Specification 4566: the dial makes 9.5 to 10.5 pulses a second, the switch accepts 8 to 11.
- A modem's manual (Multi-Tech MT2834MR6, appendix B): 60 ms open and 40 ms closed, or 67 and 33;
  800 ms between digits.

The trains are made here from these figures alone, not by the program's own stand-in.
"""

from __future__ import annotations

from random import Random

import pytest

from showtime.triggers.dial import PAUSE, Dial
from showtime.triggers.entry import Entry, Open, Told

MS = 1_000
S = 1_000 * MS
BOUNCES = 5 * MS
LIMITS = {
    "Atkinson": ((7.0, 12.0), (0.63, 0.72)),
    "AT&T, the dial": ((9.5, 10.5), (0.55, 0.75)),
    "AT&T, the switch": ((8.0, 11.0), (0.55, 0.75)),
}
"""Pulses a second, and the share of the break; AT&T's is left as wide as a dial may have it."""

Edges = list[tuple[int, bool]]


def train(pulses: int, open_us: float, closed_us: float, at: float = S) -> Edges:
    """When the contact opened (True) and closed."""
    edges: Edges = []
    for _ in range(pulses):
        edges += [(round(at), True), (round(at + open_us), False)]
        at += open_us + closed_us
    return edges


def worn(edges: Edges, luck: Random, off_by: int) -> Edges:
    """Every edge a little early or late, and followed by bounces of up to 5 ms."""
    out: Edges = []
    for ideal, is_open in edges:
        at = ideal + luck.randint(-off_by, off_by)
        out.append((at, is_open))
        bounces = sorted(luck.sample(range(at + 1, at + BOUNCES), 2 * luck.randint(0, 4)))
        out += [(when, is_open == bool(place % 2)) for place, when in enumerate(bounces)]
    return out


def digits(edges: Edges) -> list[int | str]:
    dial = Dial(0)
    heard = [dial.edge(at, is_open) for at, is_open in edges]
    heard.append(dial.tick(edges[-1][0] + 2 * S))
    return [each.doubt or each.digit for each in heard if each]


def meant(pulses: int) -> int:
    return 0 if pulses == 10 else pulses


@pytest.mark.parametrize("source", LIMITS)
def test_every_corner_of_the_limits_is_understood(source):
    speeds, shares = LIMITS[source]
    for speed in speeds:
        for share in shares:
            period = S / speed
            for pulses in range(1, 11):
                edges = train(pulses, period * share, period * (1 - share))
                assert digits(edges) == [meant(pulses)], (speed, share)


@pytest.mark.parametrize("source", LIMITS)
def test_trains_within_the_limits_with_bounces_and_jitter_are_all_understood(source, full):
    (slowest, fastest), (least, most) = LIMITS[source]
    luck = Random(source)
    for number in range(10_000 if full else 1_000):
        period, share = S / luck.uniform(slowest, fastest), luck.uniform(least, most)
        pulses = luck.randint(1, 10)
        edges = worn(train(pulses, period * share, period * (1 - share)), luck, 2 * MS)
        assert digits(edges) == [meant(pulses)], (number, period, share)


@pytest.mark.parametrize("source", LIMITS)
def test_a_pulse_missing_within_or_two_in_one_is_never_another_digit(source, full):
    (slowest, fastest), (least, most) = LIMITS[source]
    luck = Random(source)
    for number in range(10_000 if full else 1_000):
        period, share = S / luck.uniform(slowest, fastest), luck.uniform(least, most)
        pulses = luck.randint(3, 10)
        edges = train(pulses, period * share, period * (1 - share))
        first = 2 * luck.randint(1, pulses - 2) - luck.randint(0, 1)
        del edges[first : first + 2]  # a whole break, or a whole make
        (told,) = digits(worn(edges, luck, 2 * MS))
        assert isinstance(told, str), (number, period, share, pulses)


def test_a_dial_so_slow_or_so_fast_that_no_switch_takes_it_is_doubted():
    """AT&T's switch takes 8 to 11, Atkinson's exchange 7 to 12."""
    for speed in (4, 5, 6, 14, 16, 20):
        (told,) = digits(train(5, S / speed * 0.62, S / speed * 0.38))
        assert isinstance(told, str), speed


def test_an_eleventh_pulse_means_nothing():
    assert digits(train(11, 62 * MS, 38 * MS)) == ["more than ten pulses"]


@pytest.mark.parametrize(("open_ms", "closed_ms"), [(60, 40), (67, 33)])
def test_a_time_dialled_by_a_modem_is_that_time(open_ms, closed_ms):
    dial, entry, at = Dial(0), Entry(Open(10 * 60, 17 * 60, None)), float(S)
    told: list[Told | None] = []
    for pulses in (1, 4, 3, 10):
        edges = train(pulses, open_ms * MS, closed_ms * MS, at)
        for when, is_open in edges:
            if heard := dial.edge(when, is_open):
                told.append(entry.digit(heard.at, heard.digit))
        at = edges[-1][0] + 800 * MS
    heard = dial.tick(round(at))
    assert heard is not None
    told.append(entry.digit(heard.at, heard.digit))
    told.append(entry.tick(round(at) + 2 * S))
    assert [each for each in told if each] == [Told("understood", 14 * 60 + 30, "")]


def test_the_pause_lies_between_the_longest_gap_of_a_lost_pulse_and_that_between_digits():
    slowest, least_break = S / 7, 0.55
    two_pulses_lost = 3 * slowest - least_break * slowest
    assert two_pulses_lost < PAUSE - 4 * MS
    assert 800 * MS > PAUSE * 1.5
