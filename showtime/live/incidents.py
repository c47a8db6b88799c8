"""What goes wrong on a rehearsed day: the keeper's hand, the hall's speeches, the power strip."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Plan

_SHORTLY = timedelta(seconds=20)


@dataclass(frozen=True, slots=True)
class Incident:
    """At a moment, orders to the running day; `power` is how long it is off afterwards."""

    at: datetime
    orders: tuple[tuple[str, ...], ...] = ()
    power: timedelta = timedelta(0)


def incidents(plan: Plan, often: float, luck: random.Random) -> Iterator[Incident]:
    """Incidents by chance, `often` for each planned performance, before or during it."""
    for performance in plan.performances:
        if luck.random() < often:
            around = performance.starts + timedelta(minutes=luck.uniform(-12, 6))
            yield from luck.choice(_KINDS)(around, plan, luck)


def _minutes(luck: random.Random, least: int, most: int) -> int:
    return luck.randint(least, most)


def _hold(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    yield Incident(at, (("hold", "a string snapped"),))
    yield Incident(at + timedelta(minutes=_minutes(luck, 1, 8)), (("release",),))


def _speech(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    yield Incident(at, (("quiet", str(_minutes(luck, 3, 15)), "a speech in the hall"),))


def _second_thoughts(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    yield Incident(at, (("skip",),))
    yield Incident(at + _SHORTLY, (("undo",),))


def _skip(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    yield Incident(at, (("skip",),))


def _impatience(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    yield Incident(at, (("play",),))


def _another_piece(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    yield Incident(at, (("piece", luck.choice(plan.day.pieces).name),))


def _one_more(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    wanted = plan.day.local(at + timedelta(minutes=5 * _minutes(luck, 1, 6)))
    yield Incident(at, (("add", f"{wanted:%H}:{wanted.minute // 5 * 5:02}"),))


def _power_cut(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    off = timedelta(minutes=_minutes(luck, 1, 6))
    yield Incident(at, power=off)
    yield Incident(at + off + timedelta(seconds=luck.uniform(5, 60)), (("release",),))


def _late(at: datetime, plan: Plan, luck: random.Random) -> Iterator[Incident]:
    yield Incident(at, (("late", str(_minutes(luck, 3, 15))),))


_KINDS: tuple[Callable[[datetime, Plan, random.Random], Iterator[Incident]], ...] = (
    _hold,
    _speech,
    _second_thoughts,
    _skip,
    _impatience,
    _another_piece,
    _one_more,
    _power_cut,
    _late,
)
