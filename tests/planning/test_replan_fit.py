"""One more performance finds its place: as few others as possible make way, and not far."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import combinations, permutations, product
from random import Random
from time import monotonic

import pytest

from showtime.fair import Day, Performance, Plan
from showtime.planning import Clash, broken, fit, plan


def at(day: Day, hour: int, minute: int = 0) -> datetime:
    return day.local(day.hours.start).replace(hour=hour, minute=minute)


def bells(day: Day, hour: int, minute: int = 0) -> Performance:
    return Performance(at(day, hour, minute), day.pieces[0])


def dance(day: Day, hour: int, minute: int = 0) -> Performance:
    return Performance(at(day, hour, minute), day.pieces[1])


def the_plan(day: Day) -> tuple[Performance, ...]:
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Plan)
    return found.performances


def fitted(day: Day, wanted: Performance, near: Sequence[Performance]) -> set[Performance]:
    found = fit(day, wanted, near, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert broken(day, found.performances) == ()
    assert wanted in found.performances
    return set(found.performances)


def test_where_there_is_room_nothing_moves(demo_day: Day) -> None:
    near = [bells(demo_day, 12, 30), dance(demo_day, 15, 30)]
    assert fitted(demo_day, bells(demo_day, 13, 40), near) == {*near, bells(demo_day, 13, 40)}


def test_one_in_the_way_moves_by_as_little_as_possible(demo_day: Day) -> None:
    """From bells to bells it takes ten and a half minutes: 13:40 gives way to 13:50."""
    near = [bells(demo_day, 13, 40), dance(demo_day, 15, 30)]
    wanted = bells(demo_day, 13, 35)
    assert fitted(demo_day, wanted, near) == {
        wanted,
        bells(demo_day, 13, 50),
        dance(demo_day, 15, 30),
    }


def test_one_that_finds_no_other_place_is_left_out(demo_day: Day) -> None:
    """The wish for no more than so many leaves no room for one more: one has to go."""
    day = replace(demo_day, wishes=replace(demo_day.wishes, most=2))
    near = [bells(day, 12, 30), dance(day, 15, 30)]
    assert fitted(day, bells(day, 14, 10), near) == {bells(day, 14, 10), dance(day, 15, 30)}


def test_what_is_wanted_and_there_already_changes_nothing(demo_day: Day) -> None:
    near = the_plan(demo_day)
    assert fitted(demo_day, near[2], near) == set(near)


def test_what_can_never_be_names_the_rules_against_it(demo_day: Day) -> None:
    near = the_plan(demo_day)
    lunch = fit(demo_day, bells(demo_day, 13, 5), near, monotonic=monotonic)
    assert isinstance(lunch, Clash)
    assert [rule.rule for rule in lunch.rules] == ["quiet", "wanted"]
    fixed = fit(demo_day, bells(demo_day, 15, 25), near, monotonic=monotonic)
    assert isinstance(fixed, Clash)
    assert [rule.rule for rule in fixed.rules] == ["gap", "wanted", "fixed"]


def test_on_a_live_day_what_is_past_and_what_was_said_stay(demo_day: Day) -> None:
    now = at(demo_day, 13, 25)
    played = [bells(demo_day, 12, 20)]
    said = [bells(demo_day, 13, 30)]
    near = [*played, *said, bells(demo_day, 13, 50)]
    wanted = bells(demo_day, 13, 45)
    found = fit(demo_day, wanted, near, now=now, played=played, promised=said, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert set(found.performances) >= {*played, *said, wanted}
    past = fit(demo_day, bells(demo_day, 13, 20), near, now=now, monotonic=monotonic)
    assert isinstance(past, Clash)
    assert [rule.rule for rule in past.rules] == ["now", "wanted"]
    promised = fit(
        demo_day, bells(demo_day, 13, 35), near, now=now, promised=said, monotonic=monotonic
    )
    assert isinstance(promised, Clash)
    assert [rule.rule for rule in promised.rules] == ["gap", "wanted", "promised"]


def test_without_time_the_others_stay_as_far_as_they_fit(demo_day: Day) -> None:
    near = [bells(demo_day, 12, 30), bells(demo_day, 13, 40), dance(demo_day, 15, 30)]
    found = fit(demo_day, bells(demo_day, 13, 35), near, limit=0.0, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert list(found.performances) == [near[0], bells(demo_day, 13, 35), near[2]]


def ways(day: Day, wanted: Performance, near: Sequence[Performance]) -> tuple[int, int, float]:
    """The best of all ways: how many stay, how many are there at all, and the sum of moves."""
    step = day.wishes.start_on / 60
    count = round(day.hours.length / step)
    moments = [day.hours.start + step * number for number in range(count + 1)]
    moments = [moment for moment in moments if day.on_grid(moment)]
    others = [one for one in near if one != wanted]
    best = (-1, -1, 0.0)
    most = len(near) + 1 if day.wishes.most is None else day.wishes.most
    for size in range(min(len(others), most - 1) + 1):
        for kept in combinations(others, size):
            places = [[replace(one, starts=moment) for moment in moments] for one in kept]
            for moved in product(*places):
                stay = sum(one == old for one, old in zip(moved, kept, strict=True))
                way = sum(
                    abs((one.starts - old.starts).total_seconds())
                    for one, old in zip(moved, kept, strict=True)
                )
                rank = (stay, size, -way)
                if rank > best and len({wanted, *moved}) == size + 1:
                    performances = sorted([wanted, *moved], key=lambda one: one.starts)
                    if broken(day, performances) == ():
                        best = rank
    return best


def reached(
    near: Sequence[Performance], found: Sequence[Performance], wanted: Performance
) -> tuple[int, int, float]:
    """The same of the way that was found, each performance having moved to where it is nearest."""
    others = [one for one in near if one != wanted]
    after = [one for one in found if one != wanted]
    stay = [one for one in others if one in after]
    old = [one for one in others if one not in stay]
    new = [one for one in after if one not in stay]
    sums = [
        sum(abs((a.starts - b.starts).total_seconds()) for a, b in zip(gone, new, strict=True))
        for gone in permutations(old, len(new))
        if all(a.piece == b.piece for a, b in zip(gone, new, strict=True))
    ]
    return len(stay), len(after), -min(sums)


@pytest.mark.parametrize("chunk", range(2))
def test_no_other_way_moves_fewer(
    chunk: int, small_day: Callable[[Random], Day], full: bool
) -> None:
    tried, seed = 0, chunk
    while tried < (100 if full else 20):
        rng, seed = Random(seed), seed + 2
        day = small_day(rng)
        day = replace(day, wishes=replace(day.wishes, fixed=()))
        near = the_plan(day) if not isinstance(plan(day, monotonic=monotonic), Clash) else ()
        if not 1 <= len(near) <= 3:
            continue
        other = rng.choice(near)
        shifted = other.starts + rng.choice([-1, 1]) * day.wishes.start_on
        wanted = Performance(shifted, rng.choice(day.pieces))
        found = fit(day, wanted, near, monotonic=monotonic)
        best = ways(day, wanted, near)
        tried += 1
        if isinstance(found, Clash):
            assert best == (-1, -1, 0.0), f"day of seed {seed - 2}"
        else:
            assert isinstance(found, Plan)
            assert reached(near, found.performances, wanted) == best, f"seed {seed - 2}"
