"""Fairs to plan and to judge: one put together by hand, and random ones of every kind.

Fixtures hand out makers: `make_hall(...)` for a fair of stalls in a row, `random_hall(rng)` for one
of a few hours and up to eight stalls, `random_lists(rng, hall)` for performances that nobody has
thought about, and `crammed(rng, hall)` for a joint plan filled at random that keeps every rule.
All times of random fairs are whole half-minutes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, QuietInterval, Signboard, Span, budgets, wishes
from showtime.fair.hall import HallDay, HallNoise, Place, Together
from showtime.planning.hall import broken_in_hall

LONDON = ZoneInfo("Europe/London")
FAIR = "Osierholt Curiosity Fair"
OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
HALF_MINUTE = timedelta(seconds=30)
NAMES = (
    "The Tin Orchard",
    "The Lantern Cart",
    "The Moth Waltz",
    "The Paper Menagerie",
    "The Clockwork Well",
    "The Salt Organ",
    "The Brass Garden",
    "The Wooden Tide",
)
Lists = tuple[tuple[Performance, ...], ...]


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def signboard(stall: str) -> Signboard:
    return Signboard(FAIR, stall, f"the figure of {stall}", ("en",), LONDON)


def a_stall(
    name: str,
    hours: Span,
    *,
    pieces: tuple[Piece, ...] = (Piece("Frost Bells", minutes(5), level_dba=74),),
    **rest: object,
) -> Day:
    return Day(signboard(name), hours.start.astimezone(LONDON).date(), hours, pieces, **rest)


def a_hall(
    count: int = 3,
    *,
    apart_m: float = 3,
    together: tuple[Together, ...] = (Together(1, 6, "fair rule"),),
    noise: tuple[HallNoise, ...] = (),
    hours: float = 2,
    pieces: tuple[Piece, ...] = (Piece("Frost Bells", minutes(5), level_dba=74),),
) -> HallDay:
    """So many stalls in a row, alike but for their names; open from ten."""
    span = Span(OPENS, OPENS + minutes(60 * hours))
    names = [*NAMES, *(f"Stall {number}" for number in range(len(NAMES), count))][:count]
    days = tuple(a_stall(name, span, pieces=pieces) for name in names)
    places = tuple(Place(apart_m * number, 0) for number in range(count))
    return HallDay(FAIR, LONDON, date(2027, 2, 13), span, days, places, together, noise)


def _pieces(rng: Random) -> tuple[Piece, ...]:
    return tuple(
        Piece(
            name,
            minutes(rng.choice([2, 3.5, 5, 7, 7.5, 10, 12.5])),
            minutes(rng.choice([0, 0, 2, 4])),
            rng.choice([66, 70, 74, 78]),
        )
        for name in ["Frost Bells", "The Pear Dance"][: rng.choice([1, 1, 2])]
    )


def _caps(rng: Random, pieces: Sequence[Piece]) -> list[budgets.Budget]:
    longest = max(piece.lasts for piece in pieces)
    every: list[budgets.Budget] = [
        budgets.Performances(rng.randint(1, 3), minutes(rng.choice([30, 45, 60]))),
        budgets.Performances(rng.randint(1, 6)),
        budgets.Sounding(longest * rng.choice([1, 1.5, 2]), minutes(rng.choice([30, 60]))),
        budgets.AtMost(rng.choice(pieces).name, rng.randint(1, 3)),
    ]
    return [cap for cap in every if rng.random() < 0.25]


def _noise_owed(
    number: int, names: Sequence[str], places: Sequence[Place], noise: Sequence[HallNoise], day: Day
) -> list[budgets.Budget]:
    """What a stall owes all others even if nobody else sounds."""
    return [
        budgets.Noise(
            rule.limit_dba,
            budgets.Neighbour(name, places[number].distance_m(place)),
            day.hours.length if rule.whole_day else rule.over,
            whole_day=rule.whole_day,
        )
        for rule in noise
        for other, (name, place) in enumerate(zip(names, places, strict=True))
        if other != number and rule.holds_at(name)
    ]


def _day(rng: Random, name: str, hours: Span, step: int) -> Day:
    pieces = _pieces(rng)
    late, early = (rng.choice([0, 0, 0, step]) for _ in range(2))
    mine = Span(hours.start + minutes(late), hours.end - minutes(early))
    length = int(mine.length / minutes(1))

    def span(longest: int) -> Span:
        begins = mine.start + minutes(rng.randrange(-5, length))
        return Span(begins, begins + minutes(rng.randrange(3, longest)))

    return a_stall(
        name,
        mine,
        pieces=pieces,
        quiet=tuple(
            QuietInterval(f"talk {number}", span(20), minutes(rng.choice([0, 2])))
            for number in range(rng.choice([0, 0, 0, 1]))
        ),
        gap=minutes(rng.choice([0, 3, 6])),
        budgets=tuple(_caps(rng, pieces)),
        wishes=wishes.Wishes(
            most=rng.choice([None, None, None, 2, 4]),
            start_on=minutes(step),
            prefer_minutes=tuple(rng.sample([0, 30, 15, 45], rng.choice([0, 2, 4]))),
            busy=tuple(wishes.Busy(span(40), 2) for _ in range(rng.choice([0, 0, 1]))),
        ),
    )


def a_random_hall(
    rng: Random, stalls: tuple[int, int] = (2, 8), length: tuple[int, int] = (60, 180)
) -> HallDay:
    """A fair of so many stalls that is open for so many minutes."""
    step = rng.choice([5, 10, 15])
    hours = Span(OPENS, OPENS + minutes(rng.randrange(*length)))
    names = NAMES[: rng.randint(*stalls)]
    spots = rng.sample([(x, y) for x in range(4) for y in range(3)], len(names))
    places = tuple(Place(3.0 * x, 3.0 * y) for x, y in spots)
    together = (
        Together(rng.choice([1, 1, 1, 2]), rng.choice([3, 4.5, 6]), "fair rule"),
        Together(rng.randint(1, 4)),
    )
    some = tuple(rng.sample(names, min(2, len(names)))) if rng.random() < 0.3 else ()
    noise = (
        HallNoise(rng.choice([56, 60, 64]), minutes(rng.choice([20, 30, 60])), at=some),
        HallNoise(rng.choice([54, 58]), hours.length, whole_day=True),
    )
    rules = tuple(rule for rule in noise if rng.random() < 0.3)
    days = [_day(rng, name, hours, step) for name in names]
    owing = tuple(
        replace(day, budgets=(*day.budgets, *_noise_owed(number, names, places, rules, day)))
        for number, day in enumerate(days)
    )
    kept = tuple(rule for rule in together if rng.random() < 0.7)
    return HallDay(FAIR, LONDON, date(2027, 2, 13), hours, owing, places, kept, rules)


def some_lists(rng: Random, hall: HallDay, most: int = 5) -> Lists:
    """Performances from nowhere: unsorted, some doubled, some early or late."""
    lists = []
    for day in hall.days:
        slots = day.hours.length // HALF_MINUTE
        every = []
        for _ in range(rng.randint(0, most)):
            start = rng.randrange(-10, slots + 5)
            every.append(Performance(day.hours.start + start * HALF_MINUTE, rng.choice(day.pieces)))
        lists.append(tuple(every))
    return tuple(lists)


def a_crammed_plan(rng: Random, hall: HallDay, tries: int = 30) -> Lists:
    """Performances tried at random, each kept if everything still keeps every rule."""
    lists: list[list[Performance]] = [[] for _ in hall.days]
    for _ in range(tries):
        number = rng.randrange(len(lists))
        day = hall.days[number]
        step = day.wishes.start_on
        start = day.hours.start + rng.randrange(day.hours.length // step + 1) * step
        lists[number].append(Performance(start, rng.choice(day.pieces)))
        too_many = day.wishes.most is not None and len(lists[number]) > day.wishes.most
        if too_many or broken_in_hall(hall, lists):
            lists[number].pop()
    return tuple(tuple(sorted(each, key=lambda one: one.starts)) for each in lists)


@pytest.fixture
def make_hall() -> Callable[..., HallDay]:
    return a_hall


@pytest.fixture
def random_hall() -> Callable[..., HallDay]:
    return a_random_hall


@pytest.fixture
def random_lists() -> Callable[..., Lists]:
    return some_lists


@pytest.fixture
def crammed() -> Callable[..., Lists]:
    return a_crammed_plan
