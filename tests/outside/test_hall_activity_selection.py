"""Choosing the most activities that do not overlap, as a fair where one stall sounds at a time.

The worked example of activity selection in Cormen, Leiserson, Rivest, Stein: Introduction to
Algorithms (from memory): eleven activities, of which at most four fit, for instance the 1st, 4th,
8th and 11th, or the 2nd, 4th, 9th and 11th. Each activity is a stall with one piece that fills its
own open hours.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import combinations
from time import monotonic
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Signboard, Span
from showtime.fair.hall import HallDay, HallPlan, HallWish, Place, Together
from showtime.fair.wishes import Wishes
from showtime.planning.hall import broken_in_hall, plan_hall

STARTS = [1, 3, 0, 5, 3, 5, 6, 8, 8, 2, 12]
ENDS = [4, 5, 6, 7, 9, 9, 10, 11, 12, 14, 16]
MOST = 4

MIDNIGHT = datetime(2027, 2, 13, tzinfo=UTC)
HOUR = timedelta(hours=1)
ZONE = ZoneInfo("UTC")


def stall(number: int, starts: int, ends: int) -> Day:
    board = Signboard("Osierholt Curiosity Fair", f"Stall {number}", "a figure", ("en",), ZONE)
    hours = Span(MIDNIGHT + starts * HOUR, MIDNIGHT + ends * HOUR)
    piece = Piece(f"Activity {number}", hours.length)
    return Day(board, date(2027, 2, 13), hours, (piece,), wishes=Wishes(start_on=HOUR))


@pytest.fixture
def fair() -> HallDay:
    days = [stall(number, *span) for number, span in enumerate(zip(STARTS, ENDS, strict=True), 1)]
    places = [Place(3.0 * number, 0) for number in range(len(days))]
    hours = Span(MIDNIGHT, MIDNIGHT + 16 * HOUR)
    rules = (Together(1, because="one at a time"),)
    return HallDay(
        "Osierholt Curiosity Fair",
        ZONE,
        date(2027, 2, 13),
        hours,
        tuple(days),
        tuple(places),
        rules,
    )


def everything_of(fair: HallDay, chosen: tuple[int, ...]) -> list[list[Performance]]:
    return [
        [Performance(day.hours.start, day.pieces[0])] if number in chosen else []
        for number, day in enumerate(fair.days, 1)
    ]


def test_four_stalls_perform_and_that_is_proven(fair: HallDay) -> None:
    plan = plan_hall(fair, monotonic=monotonic)
    assert isinstance(plan, HallPlan)
    assert plan.alone == (1,) * 11
    assert sum(map(len, plan.performances)) == MOST
    levels = {level.name: level for level in plan.levels}
    assert (levels[HallWish.SMALLEST_SHARE].value, levels[HallWish.SMALLEST_SHARE].proven) == (
        0,
        True,
    )
    for wish in (HallWish.NEXT_SHARES, HallWish.WORTH):
        assert (levels[wish].value, levels[wish].bound) == (MOST, MOST)
    assert broken_in_hall(fair, plan.performances) == ()


@pytest.mark.parametrize("chosen", [(1, 4, 8, 11), (2, 4, 9, 11)])
def test_the_book_s_choices_keep_the_peace(fair: HallDay, chosen: tuple[int, ...]) -> None:
    assert broken_in_hall(fair, everything_of(fair, chosen)) == ()


def test_no_five_of_them_do(fair: HallDay) -> None:
    for chosen in combinations(range(1, 12), MOST + 1):
        found = broken_in_hall(fair, everything_of(fair, chosen))
        assert found and {each.rule for each in found} == {"together"}
