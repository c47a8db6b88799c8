"""A whole fair as values: places, the rules between stalls, levels and shares."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Plan, Signboard, Span, Stall, Where
from showtime.fair.hall import (
    Fair,
    HallDay,
    HallLevel,
    HallNoise,
    HallPlan,
    HallWish,
    Joining,
    Place,
    Stand,
    Together,
)

LONDON = ZoneInfo("Europe/London")
SATURDAY, SUNDAY = date(2027, 2, 13), date(2027, 2, 14)
FOLD = Piece("The Fold", timedelta(minutes=3))


def hours(day: date, closes: int = 17) -> Span:
    return Span(
        datetime(day.year, day.month, day.day, 10, tzinfo=LONDON),
        datetime(day.year, day.month, day.day, closes, tzinfo=LONDON),
    )


def stall(name: str, *dates: date) -> Stall:
    board = Signboard("Osierholt", name, "Pip", ("en",), LONDON)
    return Stall(board, tuple(Day(board, day, hours(day), (FOLD,)) for day in dates))


def hall(*names: str) -> HallDay:
    days = tuple(stall(name, SATURDAY).days[0] for name in names)
    places = tuple(Place(3.0 * number, 0.0) for number in range(len(names)))
    return HallDay("Osierholt", LONDON, SATURDAY, hours(SATURDAY), days, places)


def plan(given: list[int], alone: list[int]) -> HallPlan:
    """So many performances each, and so many each could have alone."""
    names = [f"Bird {number}" for number in range(len(given))]
    start = hours(SATURDAY).start
    performances = tuple(
        tuple(Performance(start + timedelta(minutes=5 * n), FOLD) for n in range(count))
        for count in given
    )
    return HallPlan(hall(*names), performances, tuple(alone))


class TestPlacesAndRules:
    def test_a_distance_is_as_the_crow_flies(self) -> None:
        assert Place(0, 0).distance_m(Place(3, 4)) == Place(3, 4).distance_m(Place(0, 0)) == 5

    def test_a_limit_binds_at_just_its_distance(self) -> None:
        near = Together(1, 5.0)
        assert near.binds(Place(0, 0), Place(3, 4))
        assert not near.binds(Place(0, 0), Place(3, 4.001))

    def test_a_limit_of_the_hall_binds_all(self) -> None:
        assert Together(4).binds(Place(-9999, 0), Place(9999, 0))

    @pytest.mark.parametrize(
        ("rule", "why"),
        [
            (Together(1, 6.0), "at most 1 stall sounds at once within 6 m"),
            (Together(4), "at most 4 stalls sound at once in the hall"),
            (Together(2, 2.5, "echoes"), "echoes: at most 2 stalls sound at once within 2.5 m"),
        ],
    )
    def test_it_says_so_in_words(self, rule: Together, why: str) -> None:
        assert rule.why == why

    def test_noise_is_limited_where_it_says_or_everywhere(self) -> None:
        hour = timedelta(hours=1)
        assert HallNoise(62, hour).holds_at("Owl")
        some = HallNoise(62, hour, at=("Owl", "Wren"))
        assert [some.holds_at(name) for name in ("Owl", "Wren", "Pip")] == [True, True, False]


class TestADayOfTheHall:
    def test_its_stalls_have_names_of_their_own(self) -> None:
        with pytest.raises(ValueError, match="a name of its own"):
            hall("Owl", "Wren", "Owl")

    def test_each_has_a_place(self) -> None:
        with pytest.raises(ValueError, match="with a place"):
            replace(hall("Owl", "Wren"), places=(Place(0, 0),))

    def test_a_stall_is_found_by_its_name(self) -> None:
        assert hall("Owl", "Wren").number("Wren") == 1
        with pytest.raises(KeyError):
            hall("Owl", "Wren").number("Pip")

    def test_times_are_told_on_the_halls_clock(self) -> None:
        assert hall("Owl").local(hours(SATURDAY).start).tzinfo is LONDON

    def test_it_has_the_stalls_that_are_open(self) -> None:
        stands = (
            Stand(stall("Owl", SATURDAY, SUNDAY), Place(0, 0)),
            Stand(stall("Wren", SUNDAY), Place(3, 0)),
        )
        opened = ((SATURDAY, hours(SATURDAY)), (SUNDAY, hours(SUNDAY, 16)))
        fair = Fair("Osierholt", LONDON, opened, stands, (Together(1),), ())
        saturday, sunday = fair.hall(SATURDAY), fair.hall(SUNDAY)
        assert saturday is not None and saturday.names == ("Owl",)
        assert sunday is not None and sunday.names == ("Owl", "Wren")
        assert (sunday.hours, sunday.together) == (hours(SUNDAY, 16), (Together(1),))
        assert fair.hall(date(2027, 2, 15)) is None


class TestLevels:
    @pytest.mark.parametrize(
        ("value", "bound", "gap"),
        [(0.5, 0.5, 0), (98, 100, 0.02), (100, 98, 0.02), (0, 0, 0), (1 / 3, 0.1 / 0.3, 0)],
    )
    def test_a_gap_is_a_part_of_the_larger(self, value: float, bound: float, gap: float) -> None:
        level = HallLevel(HallWish.WORTH, value, bound)
        assert level.gap == pytest.approx(gap)
        assert level.proven is (gap == 0)

    def test_beside_a_bound_of_nothing_all_may_be_gained(self) -> None:
        assert HallLevel(HallWish.ROUND_TIMES, 3, 0).gap == 1


class TestShares:
    def test_a_share_is_of_what_a_stall_could_have_alone(self) -> None:
        assert plan([3, 2, 0], [6, 4, 5]).shares == (0.5, 0.5, 0.0)
        assert plan([3, 2, 0], [6, 4, 5]).smallest_share == 0

    def test_a_stall_that_could_have_none_lacks_nothing(self) -> None:
        assert plan([3, 0], [6, 0]).shares == (0.5, 1.0)

    def test_equal_shares_are_wholly_fair(self) -> None:
        assert plan([3, 2], [6, 4]).jain == pytest.approx(1)

    @pytest.mark.parametrize(("having", "of"), [(1, 10), (2, 10), (5, 8)])
    def test_when_only_some_have_any_it_is_their_part(self, having: int, of: int) -> None:
        """Jain, Chiu and Hawe 1984: k of n with equal shares, the rest with none: k/n (memory)."""
        made = plan([4] * having + [0] * (of - having), [8] * of)
        assert made.jain == pytest.approx(having / of)

    def test_it_does_not_change_when_all_get_more(self) -> None:
        assert plan([1, 2, 3], [10] * 3).jain == pytest.approx(plan([2, 4, 6], [10] * 3).jain)

    def test_where_nobody_has_any_all_are_alike(self) -> None:
        assert plan([0, 0], [3, 4]).jain == 1

    def test_one_stalls_part_is_a_plan_of_its_day(self) -> None:
        made = plan([3, 2], [6, 4])
        part = made.plan_of("Bird 1")
        assert isinstance(part, Plan)
        assert (part.day, len(part.performances)) == (made.hall.days[1], 2)


def test_how_a_stall_joins_cannot_be_changed_later() -> None:
    with pytest.raises(FrozenInstanceError):
        Joining("hall").port = 1


def test_of_two_that_join_in_one_way_the_line_in_the_file_makes_no_difference() -> None:
    here, there = Where("owl.yaml", 3, 10), Where("owl.yaml", 7, 10)
    assert Joining("hall", user="owl", where=here) == Joining("hall", user="owl", where=there)
    assert Joining("hall", user="owl") != Joining("hall", user="wren")
