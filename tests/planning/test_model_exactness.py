"""A limit that is met exactly is met, one passed by a hair is passed, on every kind of day."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import exp
from time import monotonic

import pytest

from showtime.fair import Day, Performance, Piece, Plan, QuietInterval, Span, budgets
from showtime.fair.wishes import Busy, Fixed, Wish, Wishes
from showtime.planning import Clash, broken, plan


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def hours_of(day: Day, length: float) -> Span:
    return Span(day.hours.start, day.hours.start + minutes(length))


def bare(day: Day, length: float, lasts: float, step: float, **wishes: object) -> Day:
    """One piece on a plain day, with no rule but the grid and the hours."""
    return replace(
        day,
        hours=hours_of(day, length),
        pieces=(Piece("Frost Bells", minutes(lasts), level_dba=74, heat_k=40, current_a=2.4),),
        quiet=(),
        gap=timedelta(0),
        budgets=(),
        wishes=Wishes(start_on=minutes(step), **wishes),
    )


def counted(day: Day) -> int:
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert all(level.proven for level in found.levels)
    assert broken(day, found.performances) == ()
    return len(found.performances)


def test_fifteen_minutes_of_sound_are_exactly_two_of_seven_and_a_half(demo_day: Day) -> None:
    day = bare(demo_day, 60, 7.5, 7.5)
    exact = replace(day, budgets=(budgets.Sounding(minutes(15), minutes(60)),))
    assert counted(exact) == 2
    hair = replace(
        day, budgets=(budgets.Sounding(minutes(15) - timedelta(microseconds=100), minutes(60)),)
    )
    assert counted(hair) == 1


def test_starts_exactly_an_hour_apart_do_not_share_an_hour(demo_day: Day) -> None:
    day = bare(demo_day, 121, 1, 60)
    assert counted(replace(day, budgets=(budgets.Performances(1, minutes(60)),))) == 3
    assert counted(replace(day, budgets=(budgets.Performances(1, minutes(60.001)),))) == 2


def test_one_start_may_come_when_the_gap_is_just_over(demo_day: Day) -> None:
    assert counted(replace(bare(demo_day, 25, 5, 5), gap=minutes(5))) == 3
    assert counted(replace(bare(demo_day, 25, 5, 5), gap=minutes(5.01))) == 2


def test_a_battery_filled_to_the_last_coulomb_is_not_overdrawn(demo_day: Day) -> None:
    """Ten playings of six minutes at 2.4 A take 2.4 Ah, and 0.4 A over two hours 0.8 Ah."""
    day = bare(demo_day, 120, 6, 12)
    assert counted(replace(day, budgets=(budgets.Battery(4, 0.2, 0.4),))) == 10
    assert counted(replace(day, budgets=(budgets.Battery(3.99999, 0.2, 0.4),))) == 9


def test_noise_at_the_very_limit_is_allowed(demo_day: Day) -> None:
    """74 dBA at 1 m; half the time of any hour is 3.01 dB less: ISO 1996-1's energy mean."""
    day = bare(demo_day, 60, 6, 6)
    at = budgets.Neighbour("The Lantern Cart", 1)
    half = budgets.Noise(74 + -3.010299956639812, at, minutes(60))
    assert counted(replace(day, budgets=(half,))) == 5
    less = budgets.Noise(74 - 3.0103001, at, minutes(60))
    assert counted(replace(day, budgets=(less,))) == 4


def test_a_sound_that_straddles_a_window_counts_in_part(demo_day: Day) -> None:
    """Ten minutes in any twenty: in three quarters of an hour ten, ten and five."""
    day = bare(demo_day, 45, 5, 1)
    capped = replace(day, budgets=(budgets.Sounding(minutes(10), minutes(20)),))
    assert counted(capped) == 5


def test_a_motor_that_just_reaches_its_limit_may_run(demo_day: Day) -> None:
    day = bare(demo_day, 30, 5, 5)
    rise = 40 - 32 * exp(-5 / 25)
    assert counted(replace(day, budgets=(budgets.Heat(minutes(25), 21, 8, 21 + rise),))) == 1
    hair = budgets.Heat(minutes(25), 21, 8, 21 + rise - 1e-6)
    assert counted(replace(day, budgets=(hair,))) == 0


def test_a_piece_cooler_than_rest_lets_a_hot_one_follow(demo_day: Day) -> None:
    """The hot piece is fixed at 10:20; held warm at 16 K it would start too hot, but a cool
    piece before it (motors free) lets it in: then there is a plan, and it has the cool piece."""
    cool = Piece("Pause in Blue", minutes(15), heat_k=0)
    hot = Piece("Red Wheel", minutes(5), heat_k=60)
    day = replace(
        bare(demo_day, 60, 5, 5, fixed=(Fixed(demo_day.hours.start + minutes(20), "Red Wheel"),)),
        pieces=(cool, hot),
        budgets=(budgets.Heat(minutes(25), 21, 16, 42),),
    )
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert found.performances[0].piece == cool
    assert broken(day, found.performances) == ()
    assert isinstance(plan(replace(day, pieces=(hot,)), monotonic=monotonic), Clash)


def test_a_night_past_midnight_is_one_stretch_of_real_time(demo_day: Day) -> None:
    evening = datetime(2027, 6, 5, 21, 30, tzinfo=UTC)  # half past ten at the stall
    day = replace(
        bare(demo_day, 60, 5, 30),
        hours=Span(evening, evening + minutes(151)),
    )
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert [f"{day.local(one.starts):%H:%M}" for one in found.performances] == [
        "22:30",
        "23:00",
        "23:30",
        "00:00",
        "00:30",
    ]


@pytest.mark.parametrize(
    ("opens", "shown"),
    [
        (datetime(2027, 3, 28, 0, 30, tzinfo=UTC), ["00:30", "02:00", "02:30", "03:00"]),
        (datetime(2027, 10, 31, 0, 0, tzinfo=UTC), ["01:00", "01:30", "01:00", "01:30"]),
    ],
    ids=["an hour is left out", "an hour comes twice"],
)
def test_a_night_on_which_the_clock_changes(
    opens: datetime, shown: list[str], demo_day: Day
) -> None:
    day = replace(bare(demo_day, 60, 5, 30), hours=Span(opens, opens + minutes(95)))
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert [f"{day.local(one.starts):%H:%M}" for one in found.performances] == shown


def test_a_grid_that_does_not_divide_the_hour_begins_anew_each_hour(demo_day: Day) -> None:
    day = bare(demo_day, 75, 1, 25)
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Plan)
    starts = [f"{day.local(one.starts):%H:%M}" for one in found.performances]
    assert starts == ["10:00", "10:25", "10:50", "11:00"]


def test_touching_a_quiet_interval_is_allowed_and_its_margin_is_not(demo_day: Day) -> None:
    day = bare(demo_day, 15, 5, 5)
    talk = QuietInterval(
        "a talk", Span(day.hours.start + minutes(5), day.hours.start + minutes(10))
    )
    assert counted(replace(day, quiet=(talk,))) == 2
    assert counted(replace(day, quiet=(replace(talk, margin=timedelta(seconds=1)),))) == 0


def test_worths_that_are_no_whole_numbers_are_summed_exactly(demo_day: Day) -> None:
    day = bare(demo_day, 60, 5, 5, most=3)
    busy = tuple(
        Busy(Span(day.hours.start + minutes(begin), day.hours.start + minutes(begin + 5)), worth)
        for begin, worth in ((0, 0.1), (5, 1.1), (10, 1.3), (15, 1.25))
    )
    found = plan(replace(day, wishes=replace(day.wishes, busy=busy)), monotonic=monotonic)
    assert isinstance(found, Plan)
    assert found.levels[0].value == pytest.approx(1.1 + 1.3 + 1.25, abs=1e-12)
    assert found.levels[0].name is Wish.PERFORMANCES


def test_a_day_without_room_for_any_performance_is_an_empty_plan(demo_day: Day) -> None:
    day = bare(demo_day, 4, 5, 5)
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert found.performances == ()
    assert [(level.value, level.proven) for level in found.levels] == [
        (0, True),
        (2, True),
        (0, True),
        (0, True),
    ]


def test_performances_come_in_order_of_time(demo_day: Day) -> None:
    found = plan(demo_day, monotonic=monotonic)
    assert isinstance(found, Plan)
    ordered: list[Performance] = sorted(found.performances, key=lambda one: one.starts)
    assert list(found.performances) == ordered
