"""The motors' heat, against closed forms, duty types and a solver of differential equations.

Sources: IEC 60034-1, duty type S3, intermittent periodic duty, with its cyclic duration factor
N / (N + R); the closed form of a first-order lag under a periodic load, worked out in the test; and
SciPy's solver of initial value problems (https://scipy.org), with an eighth-order Runge-Kutta
method.
"""

from datetime import UTC, date, datetime, timedelta
from math import exp
from random import Random
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from showtime.fair import Day, Performance, Piece, Signboard, Span
from showtime.fair.budgets import Heat
from showtime.fair.wishes import Wishes
from showtime.planning.headroom import Headroom, headroom
from showtime.planning.verifier import broken

OPENS = datetime(2027, 2, 13, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
HOLD_K, LOAD_K = 8.0, 55.0


def day_of(heat: Heat, pieces: tuple[Piece, ...], hours: float = 24) -> Day:
    return Day(
        signboard=Signboard(
            "Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), ZoneInfo("UTC")
        ),
        date=date(2027, 2, 13),
        hours=Span(OPENS, OPENS + timedelta(hours=hours)),
        pieces=pieces,
        budgets=(heat,),
        wishes=Wishes(start_on=timedelta(microseconds=1)),
    )


def in_turn(heat: Heat, on: timedelta, off: timedelta) -> tuple[Day, list[Performance]]:
    """A day of one piece, `on` then `off`, over and over."""
    piece = Piece("Round and round", on, heat_k=LOAD_K)
    day = day_of(heat, (piece,))
    cycles = day.hours.length // (on + off)
    return day, [Performance(OPENS + number * (on + off), piece) for number in range(cycles)]


def heat_of(time_constant: timedelta, limit_c: float = 500) -> Heat:
    return Heat(time_constant, ambient_c=21, hold_k=HOLD_K, limit_c=limit_c)


def steady_peak(on: timedelta, off: timedelta, time_constant: timedelta) -> float:
    """The rise at the end of each turn once every turn is like the one before.

    From peak = load - (load - trough) e^(-on/T) and trough = hold + (peak - hold) e^(-off/T),
    the first-order heating and cooling of IEC 60034-1's equivalent thermal time constant.
    """
    heats, cools = exp(-on / time_constant), exp(-off / time_constant)
    return (LOAD_K * (1 - heats) + HOLD_K * heats * (1 - cools)) / (1 - heats * cools)


@pytest.mark.parametrize("time_constant", [12 * MINUTE, 25 * MINUTE, 90 * MINUTE])
@pytest.mark.parametrize(("on", "off"), [(4.5, 10.5), (7, 6), (7, 53), (1, 1)])
def test_a_periodic_load_rises_to_its_closed_form(
    on: float, off: float, time_constant: timedelta
) -> None:
    day, performances = in_turn(heat_of(time_constant), on * MINUTE, off * MINUTE)
    (room,) = headroom(day, performances)
    closed_form = steady_peak(on * MINUTE, off * MINUTE, time_constant)
    assert room.worst == pytest.approx(closed_form, rel=1e-6)
    assert room.worst < closed_form * (1 + 1e-9)


# IEC 60034-1, duty type S3: identical cycles of load and rest, whose preferred cyclic duration
# factors N / (N + R) are 15, 25, 40 and 60 %; a cycle is taken as 10 min.
DUTIES = [15, 25, 40, 60]


@pytest.mark.parametrize("percent", DUTIES)
def test_a_duty_s3_warms_on_the_mean_by_its_share_of_the_load(percent: int) -> None:
    # Once steady, as much heat leaves in a cycle as enters it, so the mean is exactly the share.
    on = percent / 100 * 10 * MINUTE
    day, performances = in_turn(heat_of(45 * MINUTE), on, 10 * MINUTE - on)
    (room,) = headroom(day, performances)
    share = percent / 100
    assert mean_rise(room, 20, 22) == pytest.approx(share * LOAD_K + (1 - share) * HOLD_K, rel=1e-3)


def mean_rise(room: Headroom, from_hour: int, until_hour: int) -> float:
    begins, ends = OPENS + timedelta(hours=from_hour), OPENS + timedelta(hours=until_hour)
    points = [point for point in room.points if begins <= point.at <= ends]
    seconds = [(point.at - begins).total_seconds() for point in points]
    levels = [point.level for point in points]
    return float(np.trapezoid(levels, seconds) / (seconds[-1] - seconds[0]))


@pytest.mark.parametrize("percent", DUTIES)
def test_a_duty_s3_is_allowed_up_to_its_steady_peak_and_no_further(percent: int) -> None:
    on = percent / 100 * 10 * MINUTE
    off = 10 * MINUTE - on
    peak_c = 21 + steady_peak(on, off, 25 * MINUTE)
    day, performances = in_turn(heat_of(25 * MINUTE, peak_c), on, off)
    assert broken(day, performances) == ()
    day, performances = in_turn(heat_of(25 * MINUTE, peak_c - 0.001), on, off)
    assert {each.rule for each in broken(day, performances)} == {"heat"}


def random_plan(dice: Random) -> tuple[Day, list[Performance]]:
    pieces = tuple(
        Piece(name, dice.uniform(1, 12) * MINUTE, heat_k=dice.uniform(5, 80))
        for name in ("Frost Bells", "The Pear Dance")
    )
    day = day_of(heat_of(dice.uniform(5, 60) * MINUTE), pieces, hours=6)
    performances, ready = [], dice.uniform(0, 30) * MINUTE
    while ready + 12 * MINUTE < day.hours.length:
        performances.append(Performance(OPENS + ready, dice.choice(pieces)))
        ready = performances[-1].ends - OPENS + dice.uniform(0, 40) * MINUTE
    return day, performances


def solved(day: Day, performances: list[Performance], seconds: list[float]) -> list[float]:
    """The rise at these seconds, by scipy's eighth-order Runge-Kutta method between switchings."""
    (heat,) = day.budgets
    assert isinstance(heat, Heat)
    switchings = [(OPENS, heat.hold_k)]
    for performance in performances:
        switchings += [
            (performance.starts, performance.piece.heat_k),
            (performance.ends, heat.hold_k),
        ]
    ends = [switched for switched, _ in switchings[1:]] + [day.hours.end]
    rise, found = heat.hold_k, []
    for (switched, target), end in zip(switchings, ends, strict=True):
        span = [(moment - OPENS).total_seconds() for moment in (switched, end)]
        if span[0] == span[1]:
            continue
        inside = [second for second in seconds if span[0] <= second < span[1]]
        answer = solve_ivp(
            lambda _, level, towards=target: (towards - level) / heat.time_constant.total_seconds(),
            span,
            [rise],
            method="DOP853",
            t_eval=[*inside, span[1]],
            rtol=1e-11,
            atol=1e-11,
        )
        found += list(answer.y[0][:-1])
        rise = float(answer.y[0][-1])
    return [*found, rise]


def test_a_solver_of_differential_equations_finds_the_same_heat(full: bool) -> None:
    dice = Random(60034)
    for _ in range(400 if full else 40):
        day, performances = random_plan(dice)
        (room,) = headroom(day, performances)
        seconds = [(point.at - OPENS).total_seconds() for point in room.points]
        levels = [point.level for point in room.points]
        assert levels == pytest.approx(solved(day, performances, seconds[:-1]), abs=1e-7)
