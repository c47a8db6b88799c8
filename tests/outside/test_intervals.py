"""Choosing the most intervals that exclude each other, as a stall that plays one piece at a time.

Outside reference: the activity-selection problem, Cormen, Leiserson, Rivest, Stein, *Introduction
to Algorithms* (from memory): eleven activities of which at most four fit, and the theorem that to
take what ends first, again and again, is optimal.

Each activity is a piece that can start at one time only. Two budgets see to that: one drains from
full, and leaves room for the piece from its time on; one fills, and leaves room until its time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import exp
from random import Random
from time import monotonic
from typing import ClassVar
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Piece, Plan, Signboard, Span
from showtime.fair.budgets import Leak, Spend
from showtime.fair.wishes import Wish, Wishes
from showtime.planning import broken, plan

STARTS = [1, 3, 0, 5, 3, 5, 6, 8, 8, 2, 12]
ENDS = [4, 5, 6, 7, 9, 9, 10, 11, 12, 14, 16]

UNIT = timedelta(minutes=5)
SLOW = timedelta(minutes=60)

Activity = tuple[int, int]


def left_at(start: int) -> float:
    return exp(-start * UNIT / SLOW)


@dataclass(frozen=True)
class NotBefore:
    rule: ClassVar[str] = "not_before"
    piece: str
    start: int
    why: str = "not before its time"
    where: None = None
    drain: Leak = Leak(SLOW)
    limit: float = 1.0
    initial: float = 1.0
    resting: float = 0.0

    def spend(self, piece: Piece) -> Spend:
        return Spend(1 - left_at(self.start) if piece.name == self.piece else 0.0)

    def shown(self, level: float) -> str:
        return f"{level:.3f}"


@dataclass(frozen=True)
class NotAfter:
    rule: ClassVar[str] = "not_after"
    piece: str
    start: int
    why: str = "not after its time"
    where: None = None
    drain: Leak = Leak(SLOW)
    limit: float = 1.0
    initial: float = 0.0
    resting: float = 1 / SLOW.total_seconds()

    def spend(self, piece: Piece) -> Spend:
        return Spend(left_at(self.start) if piece.name == self.piece else 0.0, self.resting)

    def shown(self, level: float) -> str:
        return f"{level:.3f}"


def fair_of(activities: Sequence[Activity], like: Day) -> Day:
    names = [f"number {number}" for number in range(len(activities))]
    pieces = tuple(
        Piece(name, (end - start) * UNIT)
        for name, (start, end) in zip(names, activities, strict=True)
    )
    pinned = [
        kind(name, start)
        for name, (start, _) in zip(names, activities, strict=True)
        for kind in (NotBefore, NotAfter)
    ]
    last = max(end for _, end in activities)
    return replace(
        like,
        hours=Span(like.hours.start, like.hours.start + last * UNIT),
        pieces=pieces,
        quiet=(),
        gap=timedelta(0),
        budgets=tuple(pinned),
        wishes=Wishes(order=(Wish.PERFORMANCES,), start_on=UNIT),
    )


def chosen(activities: Sequence[Activity], like: Day) -> list[Activity]:
    day = fair_of(activities, like)
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Plan)
    assert found.levels[0].proven
    assert broken(day, found.performances) == ()
    return [
        ((one.starts - day.hours.start) // UNIT, (one.ends - day.hours.start) // UNIT)
        for one in found.performances
    ]


def taken_by_end(activities: Sequence[Activity]) -> list[Activity]:
    """What ends first, again and again."""
    taken: list[Activity] = []
    for start, end in sorted(activities, key=lambda one: one[1]):
        if not taken or start >= taken[-1][1]:
            taken.append((start, end))
    return taken


@pytest.fixture
def like() -> Day:
    zone = ZoneInfo("Europe/London")
    opens = datetime(2027, 2, 13, 10, tzinfo=zone)
    board = Signboard("Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), zone)
    hours = Span(opens, opens + timedelta(hours=1))
    return Day(board, date(2027, 2, 13), hours, (Piece("any", UNIT),))


def test_of_the_eleven_activities_four_fit(like: Day) -> None:
    activities = list(zip(STARTS, ENDS, strict=True))
    found = chosen(activities, like)
    assert len(found) == 4
    assert set(found) <= set(activities)
    assert all(before[1] <= after[0] for before, after in zip(found, found[1:], strict=False))


def test_no_plan_has_more_than_taking_what_ends_first(like: Day, full: bool) -> None:
    for seed in range(200 if full else 40):
        rng = Random(seed)
        starts = [rng.randrange(0, 20) for _ in range(rng.randrange(4, 14))]
        activities = sorted({(start, start + rng.randrange(1, 8)) for start in starts})
        assert len(chosen(activities, like)) == len(taken_by_end(activities)), f"seed {seed}"
