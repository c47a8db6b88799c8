"""The joint plan, as the organiser meets it: what is fixed, what clashes, who has how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from time import monotonic

import pytest

from showtime.fair import Piece
from showtime.fair.hall import HallDay, HallNoise, HallPlan, HallWish, Place, Together
from showtime.fair.wishes import Busy, Fixed, Wish, Wishes
from showtime.planning.hall import HallClash, broken_in_hall, plan_hall, sounding_groups

MakeHall = Callable[..., HallDay]
BELLS = Piece("Frost Bells", timedelta(minutes=5), level_dba=74)
DANCE = Piece("The Pear Dance", timedelta(minutes=7), level_dba=78)


def planned(hall: HallDay, limit: float = 20.0, workers: int = 1) -> HallPlan:
    found = plan_hall(hall, limit=limit, monotonic=monotonic, workers=workers)
    assert isinstance(found, HallPlan)
    assert broken_in_hall(hall, found.performances) == ()
    return found


def level(plan: HallPlan, name: HallWish) -> tuple[float, bool]:
    found = next(level for level in plan.levels if level.name is name)
    return found.value, found.proven


def wishing(hall: HallDay, **wishes: Wishes) -> HallDay:
    """The stalls of these numbers (`one`, `two`) wish for this."""
    numbers = {"one": 0, "two": 1, "three": 2}
    days = list(hall.days)
    for name, wish in wishes.items():
        days[numbers[name]] = replace(days[numbers[name]], wishes=wish)
    return replace(hall, days=tuple(days))


def at(hall: HallDay, minutes: float) -> datetime:
    return hall.hours.start + timedelta(minutes=minutes)


def test_two_neighbours_share_the_time_that_there_is(make_hall: MakeHall) -> None:
    plan = planned(make_hall(2, hours=1))
    assert plan.alone == (12, 12)
    assert [len(given) for given in plan.performances] == [6, 6]
    assert level(plan, HallWish.SMALLEST_SHARE) == (0.5, True)
    assert level(plan, HallWish.NEXT_SHARES) == (0, True)
    assert level(plan, HallWish.WORTH) == (12, True)


def test_stalls_out_of_earshot_have_all_they_could_have_alone(make_hall: MakeHall) -> None:
    plan = planned(make_hall(3, hours=1, apart_m=7))
    assert plan.smallest_share == 1.0
    assert level(plan, HallWish.WORTH) == (36, True)


def test_the_one_between_two_others_is_not_left_with_nothing(make_hall: MakeHall) -> None:
    hall = make_hall(3, hours=1, apart_m=6)
    plan = planned(hall)
    assert [len(given) for given in plan.performances] == [6, 6, 6]


def test_an_uneven_number_leaves_one_with_less_and_the_rest_with_more(make_hall: MakeHall) -> None:
    hall = make_hall(2, hours=55 / 60)
    plan = planned(hall)
    assert sorted(len(given) for given in plan.performances) == [5, 6]
    assert level(plan, HallWish.NEXT_SHARES) == (1, True)


def test_a_busy_hour_counts_for_more_once_the_shares_are_fair(make_hall: MakeHall) -> None:
    hall = make_hall(2, hours=2)
    busy = Wishes(busy=(Busy(hall.hours.__class__(at(hall, 60), at(hall, 120)), 2.5),))
    plan = planned(wishing(hall, one=busy))
    value, proven = level(plan, HallWish.WORTH)
    assert proven
    assert [len(given) for given in plan.performances] == [12, 12]
    assert value == 12 * 2.5 + 12


def test_four_may_sound_in_the_hall_and_six_take_turns(make_hall: MakeHall) -> None:
    hall = make_hall(6, hours=1, apart_m=50, together=(Together(4),))
    plan = planned(hall)
    assert sum(len(given) for given in plan.performances) == 48
    assert plan.smallest_share == pytest.approx(8 / 12)


def test_what_is_fixed_stays_and_the_neighbours_make_way(make_hall: MakeHall) -> None:
    hall = make_hall(2, hours=1)
    hall = wishing(hall, one=Wishes(fixed=(Fixed(at(hall, 25), "Frost Bells"),)))
    plan = planned(hall)
    assert at(hall, 25) in [one.starts for one in plan.performances[0]]
    assert at(hall, 25) not in [one.starts for one in plan.performances[1]]


def test_neighbours_with_the_same_time_fixed_clash_and_both_are_named(make_hall: MakeHall) -> None:
    hall = make_hall(3, hours=1)
    fixed = Wishes(fixed=(Fixed(at(hall, 25), "Frost Bells", "the judges come by"),))
    clash = plan_hall(wishing(hall, one=fixed, two=fixed), limit=5.0, monotonic=monotonic)
    assert isinstance(clash, HallClash)
    assert clash.stall == hall.names[0]
    assert [rule.rule for rule in clash.clash.rules] == ["fixed", "fixed", "together"]


def test_a_shorter_piece_is_found_where_any_piece_would_do(make_hall: MakeHall) -> None:
    hall = make_hall(2, hours=1, pieces=(DANCE, BELLS))
    one = Wishes(fixed=(Fixed(at(hall, 20)),))
    two = Wishes(fixed=(Fixed(at(hall, 25), "Frost Bells"),))
    plan = planned(wishing(hall, one=one, two=two))
    assert plan.plan_of(hall.names[0]).day.pieces == (DANCE, BELLS)


def test_a_stall_whose_own_rules_clash_is_named(make_hall: MakeHall) -> None:
    hall = make_hall(2, hours=1)
    fixed = (Fixed(at(hall, 25), "Frost Bells"), Fixed(at(hall, 57), "Frost Bells"))
    clash = plan_hall(wishing(hall, two=Wishes(fixed=fixed)), limit=5.0, monotonic=monotonic)
    assert isinstance(clash, HallClash)
    assert clash.stall == hall.names[1]
    assert "closes" in [rule.rule for rule in clash.clash.rules]


def test_noise_that_one_neighbour_alone_keeps_two_together_do_not(make_hall: MakeHall) -> None:
    """One of two sources sounds at a time: of 74 dBA at 3 m for half the hour, 61.4 dBA."""
    hall = make_hall(
        3,
        hours=2,
        together=(),
        noise=(HallNoise(61.5, timedelta(minutes=60), at=("The Lantern Cart",)),),
    )
    plan = planned(hall)
    given = [len(one) for one in plan.performances]
    assert given[1] == plan.alone[1]
    assert given[0] + given[2] <= 14 < plan.alone[0] + plan.alone[2]


def test_a_longer_piece_gets_its_turn_where_there_is_room(make_hall: MakeHall) -> None:
    hall = make_hall(2, hours=4, apart_m=7, pieces=(BELLS, DANCE))
    days = tuple(replace(day, gap=timedelta(minutes=18)) for day in hall.days)
    plan = planned(replace(hall, days=days))
    assert plan.smallest_share == 1.0
    for given in plan.performances:
        dances = sum(one.piece == DANCE for one in given)
        assert abs(2 * dances - len(given)) <= 1


def test_pieces_are_left_as_they_are_where_nobody_wishes_for_even_ones(make_hall: MakeHall) -> None:
    hall = make_hall(1, hours=4, pieces=(BELLS, DANCE))
    day = replace(hall.days[0], gap=timedelta(minutes=20), wishes=Wishes(order=(Wish.WAIT,)))
    plan = planned(replace(hall, days=(day,)))
    assert {one.piece for one in plan.performances[0]} == {BELLS}


def test_it_tells_how_it_goes_and_stays_near_its_time(make_hall: MakeHall) -> None:
    lines: list[str] = []
    hall = make_hall(16, hours=7)
    hall = replace(hall, places=tuple(Place(3.0 * (n % 4), 3.0 * (n // 4)) for n in range(16)))
    begun = monotonic()
    plan = plan_hall(hall, limit=3.0, monotonic=monotonic, workers=2, told=lines.append)
    assert isinstance(plan, HallPlan)
    assert broken_in_hall(hall, plan.performances) == ()
    assert monotonic() - begun < 30
    assert any("share" in line for line in lines)
    assert [level.name for level in plan.levels] == list(HallWish)


def test_no_time_at_all_gives_a_plan_that_keeps_what_is_fixed(make_hall: MakeHall) -> None:
    hall = make_hall(3, hours=1)
    hall = wishing(hall, one=Wishes(fixed=(Fixed(at(hall, 25), "Frost Bells"),)))
    plan = planned(hall, limit=0.0)
    assert at(hall, 25) in [one.starts for one in plan.performances[0]]
    assert plan.alone == (12, 12, 12)


def test_the_same_fair_has_the_same_plan(make_hall: MakeHall) -> None:
    hall = make_hall(4, hours=2)
    assert planned(hall, workers=2).performances == planned(hall, workers=2).performances


def test_a_hall_without_stalls_has_an_empty_plan(make_hall: MakeHall) -> None:
    hall = replace(make_hall(1), days=(), places=())
    plan = planned(hall)
    assert plan.performances == ()
    assert plan.smallest_share == 1.0


def test_groups_are_the_largest_sets_that_a_rule_binds(make_hall: MakeHall) -> None:
    hall = make_hall(4, together=(Together(1, 6), Together(3), Together(4)))
    found = [(sorted(group.stalls), group.most) for group in sounding_groups(hall)]
    assert found == [([0, 1, 2], 1), ([1, 2, 3], 1), ([0, 1, 2, 3], 3)]
