"""Jain's index of fairness over the shares of stalls, against worked values.

R. Jain, D.-M. Chiu, W. R. Hawe: A Quantitative Measure of Fairness and Discrimination for Resource
Allocation in Shared Computer Systems, DEC Research Report TR-301 (1984).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Signboard, Span
from showtime.fair.hall import HallDay, HallPlan, Place

OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
ZONE = ZoneInfo("UTC")
NOTE = Piece("One note", timedelta(seconds=1))


def plan_of(given: list[int], alone: list[int]) -> HallPlan:
    """A joint plan in which so many performances are given of those that each could have alone."""
    span = Span(OPENS, OPENS + timedelta(hours=4))
    days = tuple(
        Day(
            Signboard("Osierholt", f"Stall {n}", "a figure", ("en",), ZONE),
            OPENS.date(),
            span,
            (NOTE,),
        )
        for n in range(len(given))
    )
    places = tuple(Place(n, 0) for n in range(len(given)))
    hall = HallDay("Osierholt", ZONE, date(2027, 2, 13), span, days, places)
    lists = tuple(
        tuple(Performance(OPENS + timedelta(seconds=10 * k), NOTE) for k in range(count))
        for count in given
    )
    return HallPlan(hall, lists, tuple(alone))


# "same share: f = 1"; "one agent receives all: 1/n"; "k users receive 1/k and n-k receive 0: k/n":
# reimbar.org/posts/jain-fairness, after TR-301. The report's own abstract: "a distribution
# algorithm with a fairness of 0.10 means that it is unfair to 90% of the users"
# (www.cse.wustl.edu/~jain/papers/fairness.htm).
@pytest.mark.parametrize(
    ("given", "index"),
    [
        ([4, 4, 4, 4], 1.0),
        ([4, 0, 0, 0], 1 / 4),
        ([3, 3, 3, 0, 0, 0, 0], 3 / 7),
        ([5, 0, 0, 0, 0, 0, 0, 0, 0, 0], 0.10),
    ],
)
def test_equal_shares_one_for_all_and_a_few_for_some(given: list[int], index: float) -> None:
    assert plan_of(given, [10] * len(given)).jain == pytest.approx(index)


# The exercise on congestion control in Peterson and Davie, Computer Networks: flows of 200, 160,
# 110, 95 and 150 KB/s, then one of 1000 KB/s beside them. The flows as given in
# gist.github.com/saulshanabrook/1a16124cf00e81c6d4d1; 0.936 and 0.442 follow by hand:
# 715^2 / (5 * 109,225) and 1715^2 / (6 * 1,109,225).
@pytest.mark.parametrize(
    ("flows", "index"),
    [([200, 160, 110, 95, 150], 0.936), ([200, 160, 110, 95, 150, 1000], 0.442)],
)
def test_the_flows_of_a_textbook_s_exercise(flows: list[int], index: float) -> None:
    assert plan_of(flows, [1000] * len(flows)).jain == pytest.approx(index, abs=0.0005)


# Jain normalises each measured throughput by its fair one: 50, 30 and 50 of 50, 10 and 10 are 1, 3
# and 5 (from his lectures, from memory): 9^2 / (3 * 35) = 0.771. Shares are normalised likewise.
def test_shares_are_of_what_each_could_have_alone() -> None:
    plan = plan_of([50, 30, 50], [250, 50, 50])
    assert plan.shares == pytest.approx((0.2, 0.6, 1.0))
    assert plan.jain == pytest.approx(81 / 105)


def test_the_index_is_the_same_in_whatever_unit() -> None:
    assert plan_of([1, 2, 3], [10, 10, 10]).jain == pytest.approx(
        plan_of([1, 2, 3], [4, 4, 4]).jain
    )
