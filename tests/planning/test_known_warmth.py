"""Once the motors' warmth is known, planner and verifier go on from there, and agree."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import combinations
from math import exp
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Signboard, Span, budgets
from showtime.fair.warmth import Warmth, cooled_after, lagged
from showtime.fair.wishes import Wish, Wishes
from showtime.planning import broken, replan
from showtime.planning.course import course

MINUTE = timedelta(minutes=1)
OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
HEAT = budgets.Heat(timedelta(minutes=20), ambient_c=20, hold_k=4, limit_c=42)


def day(heat: budgets.Heat, pieces) -> Day:
    return Day(
        signboard=Signboard("Fair", "Stall", "Figure", ("en",), ZoneInfo("UTC")),
        date=date(2027, 2, 13),
        hours=Span(OPENS, OPENS + 120 * MINUTE),
        pieces=pieces,
        budgets=(heat,),
        wishes=Wishes(order=(Wish.PERFORMANCES,), start_on=10 * MINUTE),
    )


def level(known: Warmth, coming, at: datetime) -> float:
    """The lag, in steps of a second."""
    now, rise = known.at, known.rise_k
    keep = exp(-1 / 1200)
    while now < at:
        target = next((p.piece.heat_k for p in coming if p.starts <= now < p.ends), HEAT.hold_k)
        rise = target + (rise - target) * keep
        now += timedelta(seconds=1)
    return rise


def test_the_course_goes_on_from_what_was_measured():
    piece = Piece("Bells", 5 * MINUTE, heat_k=50)
    played = [Performance(OPENS + 10 * MINUTE, piece), Performance(OPENS + 40 * MINUTE, piece)]
    known = Warmth(OPENS + 30 * MINUTE, 15.0)
    heat = replace(HEAT, known=known)
    points = course(heat, day(heat, (piece,)), played)
    assert (points[0].at, points[0].level) == (known.at, 15.0)
    for point in points:
        assert point.level == pytest.approx(level(known, played, point.at), abs=1e-6)


def test_a_measurement_in_mid_piece_counts_what_is_left_of_it():
    piece = Piece("Bells", 8 * MINUTE, heat_k=50)
    played = [Performance(OPENS + 10 * MINUTE, piece)]
    known = Warmth(OPENS + 14 * MINUTE, 10.0)
    heat = replace(HEAT, known=known)
    points = {point.at: point.level for point in course(heat, day(heat, (piece,)), played)}
    assert points[OPENS + 18 * MINUTE] == pytest.approx(lagged(10, 50, 4 * MINUTE, 20 * MINUTE))


@pytest.mark.parametrize("seed", range(12))
def test_the_rest_is_planned_as_well_as_can_be_from_the_measured_warmth(seed):
    luck = random.Random(seed)
    pieces = (
        Piece("Bells", timedelta(minutes=luck.randint(3, 6)), heat_k=luck.uniform(40, 70)),
        Piece("Dance", timedelta(minutes=luck.randint(5, 9)), heat_k=luck.uniform(30, 60)),
    )
    now = OPENS + luck.randint(51, 75) * MINUTE
    known = Warmth(now - timedelta(seconds=luck.randint(0, 90)), luck.uniform(0, 22))
    this = day(replace(HEAT, known=known), pieces)
    played = [Performance(OPENS + 10 * MINUTE, pieces[0])]
    made = replan(this, now=now, played=played, promised=(), monotonic=lambda: 0.0)
    coming = [p for p in made.performances if p.starts >= now]
    assert broken(this, made.performances) == ()
    assert len(coming) == most(this, played, now)


def most(this: Day, played, now: datetime) -> int:
    """How many can follow, by trying everything with the verifier."""
    starts = [OPENS + n * 10 * MINUTE for n in range(12) if OPENS + n * 10 * MINUTE >= now]
    for count in range(len(starts), 0, -1):
        for chosen in combinations(starts, count):
            for which in range(2**count):
                coming = [
                    Performance(start, this.pieces[which >> i & 1])
                    for i, start in enumerate(chosen)
                ]
                if not broken(this, [*played, *coming]):
                    return count
    return 0


def test_cooling_down_takes_as_long_as_the_lag_says():
    wait = cooled_after(35.0, 22.0, 4.0, 20 * MINUTE)
    assert lagged(35.0, 4.0, wait, 20 * MINUTE) == pytest.approx(22.0)
    assert cooled_after(20.0, 22.0, 4.0, 20 * MINUTE) == timedelta(0)
    assert cooled_after(35.0, 4.0, 4.0, 20 * MINUTE) is None
