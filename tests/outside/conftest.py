"""The judge of clock idioms, and small fairs whose best plans other means find too.

The judge is duckling, a general-purpose parser of times in text (open source, in Haskell), through
pyduckling-native-phihos 0.3.0, which runs it in this process.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from math import hypot
from random import Random
from typing import Any, Protocol
from zoneinfo import ZoneInfo

import duckling
import pytest

from showtime.fair import Day, Performance, Piece, QuietInterval, Signboard, Span, budgets
from showtime.fair.hall import HallDay, HallNoise, HallPlan, HallWish, Place, Together
from showtime.fair.wishes import Busy, Wishes

MIDNIGHT = datetime(2027, 2, 13, tzinfo=UTC)
Parsed = Callable[[str, str], list[dict[str, Any]]]


@pytest.fixture(scope="session")
def duckling_in() -> Callable[..., Parsed]:
    """What duckling finds in a text of a language, such as "DE", at midnight before the fair, in
    one dimension. With `latent` also what needs a context, where it finds nothing else."""

    def opened(language: str, *, latent: bool) -> Parsed:
        zones = duckling.load_time_zones("/usr/share/zoneinfo")
        now = duckling.parse_ref_time(zones, "UTC", int(MIDNIGHT.timestamp()))
        locale = duckling.default_locale_lang(duckling.parse_lang(language))
        context = duckling.Context(now, locale)

        def found(text: str, dimension: str) -> list[dict[str, Any]]:
            wanted = duckling.parse_dimensions([dimension])
            every = list(duckling.parse(text, context, wanted, with_latent=latent))
            return [each for each in every if not each["latent"]] or every

        return found

    return opened


# Small fairs.

FAIR = "Osierholt Curiosity Fair"
OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
ZONE = ZoneInfo("Europe/London")
MINUTE = timedelta(minutes=1)
LARGER_IS_BETTER = {HallWish.SMALLEST_SHARE, HallWish.NEXT_SHARES, HallWish.WORTH}
Given = tuple[Performance, ...]


def apart_m(hall: HallDay, one: int, two: int) -> float:
    here, there = hall.places[one], hall.places[two]
    return hypot(here.x_m - there.x_m, here.y_m - there.y_m)


NAMES = [
    "The Tin Orchard",
    "The Lantern Cart",
    "The Moth Waltz",
    "The Salt Organ",
    "The Brass Well",
]


def fair_of(rng: Random, stalls: int, lengths: Sequence[int], step: int, pieces: int) -> HallDay:
    """A fair of so many stalls, each open for one of these lengths (minutes)."""
    names = NAMES[:stalls]
    spots = rng.sample([(x, y) for x in range(3) for y in range(2)], stalls)
    places = tuple(Place(3.0 * x, 3.0 * y) for x, y in spots)
    together = [Together(1, rng.choice([3, 4.5])), Together(rng.choice([1, 2, 3]))]
    noise = [
        HallNoise(rng.choice([57, 60, 62.5]), rng.choice([20, 30, 60]) * MINUTE),
        HallNoise(rng.choice([54, 58]), 0 * MINUTE, whole_day=True, at=(names[0],)),
    ]
    rules = tuple(rule for rule in noise if rng.random() < 0.3)
    hall = HallDay(
        FAIR,
        ZONE,
        date(2027, 2, 13),
        Span(OPENS, OPENS + max(lengths) * MINUTE),
        tuple(_day(rng, name, rng.choice(lengths), step, pieces) for name in names),
        places,
        tuple(rule for rule in together if rng.random() < 0.75),
        rules,
    )
    return _owing(hall)


def _day(rng: Random, name: str, length: int, step: int, pieces: int) -> Day:
    board = Signboard(FAIR, name, "a figure", ("en",), ZONE)
    kinds = tuple(
        Piece(title, rng.choice([3, 5, 8, 12]) * MINUTE, rng.choice([0, 4]) * MINUTE, level)
        for title, level in [("Frost Bells", 74.0), ("The Pear Dance", rng.choice([70.0, 77.0]))]
    )[: rng.randint(1, pieces)]
    caps: list[budgets.Budget] = [
        budgets.Performances(rng.choice([1, 2]), 30 * MINUTE),
        budgets.Sounding(15 * MINUTE, 45 * MINUTE),
        budgets.Performances(rng.choice([2, 4])),
        budgets.AtMost("Frost Bells", 1),
    ]
    talk = OPENS + rng.randrange(0, length - 10) * MINUTE
    quiet = (QuietInterval("a talk", Span(talk, talk + 10 * MINUTE)),)
    busy = (Busy(Span(OPENS + 20 * MINUTE, OPENS + 40 * MINUTE), 2),)
    return Day(
        board,
        date(2027, 2, 13),
        Span(OPENS, OPENS + length * MINUTE),
        kinds,
        quiet if rng.random() < 0.3 else (),
        rng.choice([0, 5]) * MINUTE,
        tuple(cap for cap in caps if rng.random() < 0.3),
        Wishes(
            start_on=step * MINUTE,
            most=rng.choice([None, None, 2]),
            prefer_minutes=(0, 30, 15, 45)[: rng.choice([0, 2, 4])],
            busy=busy if rng.random() < 0.4 else (),
        ),
    )


def _owing(hall: HallDay) -> HallDay:
    """The same with what each stall owes the others even if nobody else sounds."""
    days = []
    for number, day in enumerate(hall.days):
        owed = [
            budgets.Noise(
                rule.limit_dba,
                budgets.Neighbour(name, apart_m(hall, number, other)),
                hall.days[other].hours.length if rule.whole_day else rule.over,
                whole_day=rule.whole_day,
            )
            for rule in hall.noise
            for other, name in enumerate(hall.names)
            if other != number and rule.holds_at(name)
        ]
        days.append(replace(day, budgets=(*day.budgets, *owed)))
    return replace(hall, days=tuple(days))


# What their plans are worth, level by level.


def minute(moment: datetime) -> int:
    return (moment - OPENS) // MINUTE


def shares_of(given: Sequence[Given], alone: Sequence[int]) -> list[Fraction]:
    """Of the stalls that could have anything."""
    return [Fraction(len(one), most) for one, most in zip(given, alone, strict=True) if most]


def wait_of(day: Day, given: Given) -> Fraction:
    marks = [minute(day.hours.start), *sorted(minute(one.starts) for one in given)]
    marks.append(minute(day.hours.end))
    squares = sum((after - before) ** 2 for before, after in zip(marks, marks[1:], strict=False))
    return Fraction(squares, 2 * (marks[-1] - marks[0]))


def rank_of(day: Day, one: Performance) -> int:
    return day.wishes.rank(day.local(one.starts).minute)


def value_of(wish: HallWish, hall: HallDay, given: Sequence[Given], alone: Sequence[int]) -> float:
    pairs = list(zip(hall.days, given, strict=True))
    shares = shares_of(given, alone)
    smallest = min(shares, default=Fraction(1))
    match wish:
        case HallWish.SMALLEST_SHARE:
            return float(smallest)
        case HallWish.NEXT_SHARES:
            return float(sum(share > smallest for share in shares))
        case HallWish.WORTH:
            return float(sum(day.wishes.worth(one.starts) for day, mine in pairs for one in mine))
        case HallWish.WAIT:
            return float(sum(wait_of(day, mine) for day, mine in pairs))
        case HallWish.ROUND_TIMES:
            return float(sum(rank_of(day, one) for day, mine in pairs for one in mine))


class Judge(Protocol):
    """What knows the best plans of a fair."""

    alone: list[int]

    def best(self, wish: HallWish) -> float:
        """The best value on that level of all plans that are as good as held on others."""

    def hold(self, wish: HallWish, reached: float) -> None:
        """From now on only plans count that are so good on that level."""


def held_against(plan: HallPlan, judge: Judge) -> set[HallWish]:
    """Each level of the plan against what the judge knows; the levels that were proven."""
    assert list(plan.alone) == judge.alone
    proven = set()
    for level in plan.levels:
        told = value_of(level.name, plan.hall, plan.performances, plan.alone)
        assert level.value == pytest.approx(told, abs=1e-6), level
        best = judge.best(level.name)
        sign = 1 if level.name in LARGER_IS_BETTER else -1
        assert sign * (best - level.value) >= -1e-6, level
        assert sign * (level.bound - best) >= -1e-6, level
        if level.proven:
            assert level.value == pytest.approx(best, abs=1e-6), level
            proven.add(level.name)
        judge.hold(level.name, told)
    return proven


@pytest.fixture
def small_fair() -> Callable[..., HallDay]:
    return fair_of


@pytest.fixture
def value_on() -> Callable[..., float]:
    """The value on a level of what the stalls of a hall are given."""
    return value_of


@pytest.fixture
def proven_beside() -> Callable[..., set[HallWish]]:
    return held_against
