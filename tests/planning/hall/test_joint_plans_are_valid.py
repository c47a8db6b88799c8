"""Whatever fair there is: its joint plan breaks no rule in the judge's eyes and tells the truth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random
from time import monotonic

import pytest

from showtime.fair import Plan
from showtime.fair.hall import HallDay, HallNoise, HallPlan, HallWish
from showtime.fair.wishes import Wish
from showtime.planning import plan
from showtime.planning.hall import broken_in_hall, handouts, plan_hall
from showtime.planning.values import value

CHUNKS = 8
BETTER_WHEN_LARGER = {HallWish.SMALLEST_SHARE, HallWish.NEXT_SHARES, HallWish.WORTH}


def most_alone(hall: HallDay, number: int) -> int | None:
    """The most performances of a stall by its own planner; None when that could not prove it."""
    day = hall.days[number]
    wishes = replace(day.wishes, order=(Wish.PERFORMANCES,), busy=())
    found = plan(replace(day, wishes=wishes), limit=10.0, monotonic=monotonic)
    assert isinstance(found, Plan)
    return len(found.performances) if found.levels[0].proven else None


def told_truly(joint: HallPlan) -> None:
    """What the levels say is what the performances are; no bound is passed, no share too large."""
    days, given = joint.hall.days, joint.performances
    shares = [share for share, most in zip(joint.shares, joint.alone, strict=True) if most]
    smallest = min(shares, default=1.0)

    def sum_of(wish: Wish) -> float:
        return sum(value(day, wish, mine) for day, mine in zip(days, given, strict=True))

    values = {
        HallWish.SMALLEST_SHARE: smallest,
        HallWish.NEXT_SHARES: sum(share > smallest + 1e-9 for share in shares),
        HallWish.WORTH: sum_of(Wish.PERFORMANCES),
        HallWish.WAIT: sum_of(Wish.WAIT),
        HallWish.ROUND_TIMES: sum_of(Wish.ROUND_TIMES),
    }
    assert all(0 <= share <= 1 for share in joint.shares)
    for level in joint.levels:
        assert level.value == pytest.approx(values[level.name]), level
        if level.name in BETTER_WHEN_LARGER:
            assert level.value <= level.bound + 1e-9
        else:
            assert level.value >= level.bound - 1e-9


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_no_joint_plan_of_a_random_fair_breaks_a_rule(
    chunk: int, random_hall: Callable[..., HallDay], full: bool
) -> None:
    for seed in range(chunk, 500 if full else 40, CHUNKS):
        dice = Random(seed)
        hall = random_hall(dice)
        joint = plan_hall(hall, limit=2.0, monotonic=monotonic)
        assert isinstance(joint, HallPlan), f"fair of seed {seed}"
        assert broken_in_hall(hall, joint.performances) == (), f"fair of seed {seed}"
        told_truly(joint)
        number = dice.randrange(len(hall.days))
        assert joint.alone[number] == most_alone(hall, number), f"fair of seed {seed}"
        for handed in handouts(joint):
            assert not any(
                one.span.meets(quiet.span) for one in handed.performances for quiet in handed.quiet
            )


def test_a_stall_by_itself_has_all_it_could_have(random_hall: Callable[..., HallDay]) -> None:
    for seed in range(6):
        hall = random_hall(Random(seed), (1, 1))
        joint = plan_hall(hall, limit=5.0, monotonic=monotonic)
        assert isinstance(joint, HallPlan)
        assert joint.smallest_share == 1
        assert joint.jain == 1 or joint.alone == (0,)


def test_stalls_that_do_not_bind_each_other_have_all_they_could_have(
    random_hall: Callable[..., HallDay],
) -> None:
    for seed in range(6):
        hall = replace(random_hall(Random(seed)), together=(), noise=())
        joint = plan_hall(hall, limit=5.0, monotonic=monotonic)
        assert isinstance(joint, HallPlan)
        assert joint.shares == (1.0,) * len(hall.days)


def test_a_limit_that_nobody_could_keep_silences_all(make_hall: Callable[..., HallDay]) -> None:
    hall = make_hall(3, noise=(HallNoise(10, make_hall(2).hours.length, whole_day=True),))
    joint = plan_hall(hall, limit=5.0, monotonic=monotonic)
    assert isinstance(joint, HallPlan)
    assert joint.performances == ((), (), ())
    assert broken_in_hall(hall, joint.performances) == ()
