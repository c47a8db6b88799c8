"""Noise of several stalls at another, against the rules by which acoustics adds levels.

ISO 9613-2:1996 gives the level at the listener as the energy sum over all sources, 10 lg of the sum
of 10^(L/10), each less by the divergence 20 lg(d / 1 m) of a point source (both from memory; the
standard's further terms, ground, screens and air, are zero in a free field over a few metres).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Signboard, Span
from showtime.fair.hall import HallDay, HallNoise, Place
from showtime.planning.hall import broken_in_hall, noise_course

HOUR = timedelta(hours=1)
OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
HOURS = Span(OPENS, OPENS + 4 * HOUR)
ZONE = ZoneInfo("UTC")
LISTENER = "The Tin Orchard"


def stall(name: str, level_dba: float, lasts: timedelta) -> Day:
    board = Signboard("Osierholt Curiosity Fair", name, "a figure", ("en",), ZONE)
    return Day(board, date(2027, 2, 13), HOURS, (Piece("One note", lasts, level_dba=level_dba),))


def heard(
    levels_dba: Sequence[float],
    distances_m: Sequence[float],
    lasts: timedelta = HOUR,
    noise: tuple[HallNoise, ...] = (),
) -> tuple[HallDay, list[list[Performance]], float]:
    """A hall of so many stalls around a silent one; all sound from eleven; its level at noon."""
    days = [stall(LISTENER, 60, HOUR)]
    days += [stall(f"Stall {n}", level, lasts) for n, level in enumerate(levels_dba)]
    angles = [(1, 0), (0, 1), (-1, 0), (0, -1)]
    spots = [Place(x * d, y * d) for (x, y), d in zip(angles, distances_m, strict=False)]
    places = (Place(0, 0), *spots)
    hall = HallDay("Osierholt", ZONE, date(2027, 2, 13), HOURS, tuple(days), places, (), noise)
    played = [[Performance(OPENS + HOUR, day.pieces[0])] for day in days]
    played[0] = []
    points = noise_course(hall, played, LISTENER, HOUR)
    (level,) = [point.level for point in points if point.at == OPENS + 2 * HOUR]
    return hall, played, level


def test_two_equal_sources_are_three_decibels_louder_than_one() -> None:
    assert heard([74, 74], [1, 1])[2] - heard([74], [1])[2] == pytest.approx(3.01, abs=0.005)


def test_four_equal_sources_are_six_decibels_louder_than_one() -> None:
    four = heard([74, 74, 74, 74], [1, 1, 1, 1])[2]
    assert four - heard([74], [1])[2] == pytest.approx(6.02, abs=0.005)


# The table by which levels are added two by two: so much comes to the higher of two levels that
# differ by so many decibels. It stands in handbooks of noise control, to a tenth (from memory).
HANDBOOK = [3.0, 2.5, 2.1, 1.8, 1.5, 1.2, 1.0, 0.8, 0.6, 0.5, 0.4]


@pytest.mark.parametrize(("difference", "added"), list(enumerate(HANDBOOK)))
def test_two_sources_add_up_as_handbooks_tell(difference: int, added: float) -> None:
    assert heard([74, 74 - difference], [1, 1])[2] - 74 == pytest.approx(added, abs=0.05)


# "one source producing a sound level of 65dB and you add a second 65dB sound source ... 68dB":
# www.mcsquared.com/combindb.htm, "Adding Decibels".
def test_65_and_65_are_68() -> None:
    assert heard([65, 65], [1, 1])[2] == pytest.approx(68, abs=0.05)


# "80 dB + 80 dB combine to about 83 dB": noiseleveldb.pages.dev, "How to Add Decibels".
def test_80_and_80_are_83() -> None:
    assert heard([80, 80], [1, 1])[2] == pytest.approx(83, abs=0.05)


def test_a_source_twice_as_far_is_six_decibels_less_and_four_of_them_make_up_for_it() -> None:
    near = heard([74], [3])[2]
    far = heard([74], [6])[2]
    assert near - far == pytest.approx(6.02, abs=0.005)
    assert heard([74] * 4, [6] * 4)[2] == pytest.approx(near)


# The energy mean over time, as ISO 1996-1 has it (from memory): half the time is half the energy.
def test_sounding_half_as_long_is_three_decibels_less() -> None:
    half = heard([74, 70], [2, 3], lasts=HOUR / 2)[2]
    assert heard([74, 70], [2, 3])[2] - half == pytest.approx(3.01, abs=0.005)


@pytest.mark.parametrize(("limit_dba", "kept"), [(67.47, True), (67.46, False)])
def test_the_limit_lies_where_the_sum_does(limit_dba: float, kept: bool) -> None:
    """74 dBA at 3 m is 64.458 there; two of them are 67.468."""
    rule = (HallNoise(limit_dba, HOUR, at=(LISTENER,)),)
    hall, played, level = heard([74, 74], [3, 3], noise=rule)
    assert level == pytest.approx(67.468, abs=0.001)
    rules = [each.rule for each in broken_in_hall(hall, played)]
    assert rules == ([] if kept else ["noise"])
