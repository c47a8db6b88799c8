"""Days to plan: the demo stall's, and random ones of every kind that the rules know.

Fixtures hand out makers: `make_demo(start_on, closes)`, `random_day(rng)`, `small_day(rng)`.
A small day has so few starts that all its plans can be listed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import ClassVar
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Piece, QuietInterval, Signboard, Span, budgets, wishes

LONDON = ZoneInfo("Europe/London")
SIGNBOARD = Signboard(
    "Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON
)
CART = budgets.Neighbour("The Lantern Cart", 3)


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def demo(start_on: float = 5, closes: int = 17) -> Day:
    """The demo stall's first day, put together by hand; it may close later, to be larger."""

    def at(hour: int, minute: int = 0) -> datetime:
        return datetime(2027, 2, 13, hour, minute, tzinfo=LONDON)

    rule = "fair rule"
    quiet = [
        QuietInterval("opening speech", Span(at(10), at(10, 10))),
        QuietInterval("story circle", Span(at(11, 30), at(12, 15)), minutes(2)),
        QuietInterval("the keeper's lunch", Span(at(13), at(13, 30))),
        QuietInterval("organ recital", Span(at(14, 35), at(14, 50)), minutes(5)),
    ]
    quiet += [
        QuietInterval("bandstand", Span(at(hour, 55), at(hour + 1, 5)))
        for hour in range(10, closes)
    ]
    return Day(
        SIGNBOARD,
        date(2027, 2, 13),
        Span(at(10), at(closes)),
        (
            Piece("Frost Bells", minutes(4.5), minutes(2), 74, 40, 2.4),
            Piece("The Pear Dance", minutes(7), minutes(3), 78, 55, 3.1),
        ),
        tuple(quiet),
        minutes(6),
        (
            budgets.Performances(4, minutes(60), because=rule),
            budgets.Performances(3, minutes(60), because=rule),
            budgets.Sounding(minutes(15), minutes(60), because=rule),
            budgets.Noise(60, CART, minutes(60), because="agreed with the neighbour"),
            budgets.Performances(20),
            budgets.AtMost("The Pear Dance", 6),
            budgets.Heat(minutes(25), 21, 8, 45),
            budgets.Battery(10, 0.2, 0.4),
        ),
        wishes.Wishes(
            most=18,
            start_on=minutes(start_on),
            prefer_minutes=(0, 30, 15, 45),
            busy=(wishes.Busy(Span(at(11), at(13)), 2),),
            fixed=(wishes.Fixed(at(15, 30), "The Pear Dance", "the judges come by"),),
        ),
    )


@dataclass(frozen=True)
class Wear:
    """A budget that nobody has yet: springs tire by starts, by sound, a little at rest."""

    rule: ClassVar[str] = "wear"
    limit: float
    initial: float
    resting: float
    drain: budgets.Drain
    why: str = "the springs must not tire"
    where: None = None

    def spend(self, piece: Piece) -> budgets.Spend:
        return budgets.Spend(1.0, 0.01 * (1 + piece.heat_k / 40))

    def shown(self, level: float) -> str:
        return f"{level:.1f} wear"


def _hours(rng: Random, shortest: int, longest: int) -> Span:
    """Open hours of so many minutes: by day, past midnight, or over a change of the clock."""
    begins = rng.choice(
        [
            datetime(2027, 2, 13, rng.randrange(8, 14), rng.choice([0, 0, 30, 12]), tzinfo=UTC),
            datetime(2027, 6, 5, 21, rng.choice([0, 45]), tzinfo=UTC),
            datetime(2027, 3, 28, 0, rng.choice([0, 30]), tzinfo=UTC),  # 01:00 becomes 02:00
            datetime(2027, 10, 31, 0, rng.choice([0, 15]), tzinfo=UTC),  # 02:00 becomes 01:00
        ]
    )
    return Span(begins, begins + minutes(rng.randrange(shortest, longest)))


def _pieces(rng: Random, most: int) -> tuple[Piece, ...]:
    names = ["Frost Bells", "The Pear Dance", "Nine Lanterns"]
    return tuple(
        Piece(
            name,
            minutes(rng.choice([2, 3.5, 4.5, 7, 7.5, 10, 12.25])),
            minutes(rng.choice([0, 2, 3, 9])),
            rng.choice([None, 70, 74, 78]),
            rng.choice([0, 20, 40, 55]),
            rng.choice([0, 2.4, 3.1]),
        )
        for name in names[: rng.randint(1, most)]
    )


def _budgets(
    rng: Random, pieces: tuple[Piece, ...], hours: Span, chance: float
) -> tuple[budgets.Budget, ...]:
    longest = max(piece.lasts for piece in pieces)
    width = minutes(rng.choice([20, 30, 45, 60, 90]))
    day_h = hours.length / minutes(60)
    heat = max(9.0, max(piece.heat_k for piece in pieces) * rng.choice([0.4, 0.6]))
    loudest = max(piece.level_dba or 60 for piece in pieces)
    every: list[budgets.Budget] = [
        budgets.Performances(rng.randint(1, 3), width),
        budgets.Performances(rng.randint(2, 9)),
        budgets.Sounding(longest * rng.choice([1, 1.5, 2, 3]), width),
        budgets.Sounding(longest * rng.randint(2, 9)),
        budgets.Noise(loudest - rng.choice([14, 17, 20]), CART, width),
        budgets.Noise(loudest - rng.choice([17, 20]), CART, hours.length, whole_day=True),
        budgets.AtMost(rng.choice(pieces).name, rng.randint(0, 5)),
        budgets.Heat(
            minutes(rng.choice([10, 25])), 21, 8, 21 + max(9.0, heat * rng.choice([0.4, 0.6]))
        ),
        budgets.Battery(0.4 * day_h + rng.choice([0.6, 1.2, 2.5]), 0.0, 0.4),
        Wear(rng.choice([5.5, 9.0]), rng.choice([0.0, 1.0]), 0.0002, budgets.Window(width)),
        Wear(rng.choice([5.5, 9.0]), rng.choice([0.0, 1.0]), 0.0002, budgets.Leak(width)),
    ]
    return tuple(budget for budget in every if rng.random() < chance)


def _local_grid(hours: Span, step: int) -> list[datetime]:
    """Instants on the grid of so many minutes, counted from the local hour."""
    minute = hours.start.replace(second=0)
    found = []
    while minute < hours.end:
        if minute >= hours.start and minute.astimezone(LONDON).minute % step == 0:
            found.append(minute)
        minute += minutes(1)
    return found


def _day(rng: Random, hours: Span, step: int, most_pieces: int, chance: float) -> Day:
    pieces = _pieces(rng, most_pieces)
    grid = _local_grid(hours, step)
    length = hours.length / minutes(1)

    def span(longest: int) -> Span:
        begins = hours.start + minutes(rng.randrange(-10, int(length)))
        return Span(begins, begins + minutes(rng.randrange(3, longest)))

    def fixed() -> wishes.Fixed:
        piece = rng.choice([None, *(piece.name for piece in pieces)])
        return wishes.Fixed(rng.choice(grid), piece, "the judges come by")

    order = rng.sample(list(wishes.Wish), rng.choice([1, 2, 4, 4, 4]))
    if rng.random() < 0.6:
        order.sort(key=list(wishes.Wish).index)
    return Day(
        SIGNBOARD,
        hours.start.astimezone(LONDON).date(),
        hours,
        pieces,
        tuple(
            QuietInterval(f"talk {number}", span(40), minutes(rng.choice([0, 0, 2, 5])))
            for number in range(rng.choice([0, 0, 1, 2]))
        ),
        minutes(rng.choice([0, 3, 6, 12])),
        _budgets(rng, pieces, hours, chance),
        wishes.Wishes(
            order=tuple(order),
            most=rng.choice([None, None, 2, 5, 18]),
            start_on=minutes(step),
            prefer_minutes=tuple(rng.sample([0, 30, 15, 45, 10], rng.randint(0, 4))),
            busy=tuple(
                wishes.Busy(span(90), rng.choice([2, 1.5, 0.5]))
                for _ in range(rng.choice([0, 1, 2]))
            ),
            fixed=tuple(fixed() for _ in range(rng.choice([0, 0, 0, 1, 2]))) if grid else (),
        ),
    )


def a_random_day(rng: Random) -> Day:
    """A day of two to seven hours."""
    return _day(rng, _hours(rng, 120, 420), rng.choice([5, 7, 10, 15]), 3, 0.3)


def a_small_day(rng: Random) -> Day:
    """A day with at most eight starts and two pieces."""
    step = rng.choice([10, 12, 15])
    hours = _hours(rng, 5 * step, 7 * step)
    return _day(rng, hours, step, 2, 0.3)


@pytest.fixture
def demo_day() -> Day:
    return demo()


@pytest.fixture
def make_demo() -> Callable[..., Day]:
    return demo


@pytest.fixture
def random_day() -> Callable[[Random], Day]:
    return a_random_day


@pytest.fixture
def small_day() -> Callable[[Random], Day]:
    return a_small_day
