"""What a fair's noise rules ask of each stall by itself, as budgets of its days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import timedelta

from showtime.fair import Day
from showtime.fair.budgets import Neighbour, Noise
from showtime.fair.hall import HallNoise, Stand

Open = list[tuple[Stand, Day]]


def with_own_noise(stands: Sequence[Stand], rules: Sequence[HallNoise]) -> tuple[Stand, ...]:
    """The stalls, on each day with a budget for its own sound at those who must not hear more.

    Alone it may fill what all others together may not pass. Of stalls where one limit holds, the
    nearest hears the most: what suits it suits the rest, so it alone has a budget, and only when
    the stall could ever be too loud there. All that sounds on a day counts for a limit over the
    day, though the listener may open later.
    """
    if not rules:
        return tuple(stands)
    dates = sorted({day.date for stand in stands for day in stand.stall.days})
    more: dict[tuple[str, object], list[Noise]] = {}
    for date in dates:
        open_ = [(stand, day) for stand in stands if (day := stand.stall.day(date))]
        for rule in rules:
            for heard in _heard_alike(rule, open_):
                for stand, day in open_:
                    budget = _budget(rule, stand, day, heard)
                    if budget is not None:
                        more.setdefault((stand.name, date), []).append(budget)
    return tuple(_with(stand, more) for stand in stands)


def _with(stand: Stand, more: dict[tuple[str, object], list[Noise]]) -> Stand:
    days = tuple(
        replace(day, budgets=(*day.budgets, *more.get((stand.name, day.date), ())))
        for day in stand.stall.days
    )
    return replace(stand, stall=replace(stand.stall, days=days))


def _heard_alike(rule: HallNoise, open_: Open) -> Iterator[Open]:
    """The open stalls where the rule holds, those together where it means the same limit."""
    listeners = [(stand, day) for stand, day in open_ if rule.holds_at(stand.name)]
    if not rule.whole_day:
        yield listeners
        return
    for length in sorted({day.hours.length for _, day in listeners}):
        yield [(stand, day) for stand, day in listeners if day.hours.length == length]


def _budget(rule: HallNoise, stand: Stand, day: Day, heard: Open) -> Noise | None:
    """None when nobody hears it, or nothing that the stall could play is ever too loud."""
    place, name = stand.place, stand.name
    distance, nearest, its_day = min(
        (
            (place.distance_m(other.place), number, its_day)
            for number, (other, its_day) in enumerate(heard)
            if other.name != name
        ),
        default=(0.0, 0, day),
        key=lambda found: found[:2],
    )
    if not distance:
        return None
    over = its_day.hours.length if rule.whole_day else rule.over
    budget = Noise(
        rule.limit_dba,
        Neighbour(heard[nearest][0].name, distance),
        over,
        rule.whole_day,
        because=rule.because,
        where=rule.where,
    )
    return budget if _could_break(budget, day, over) else None


def _could_break(budget: Noise, day: Day, over: timedelta) -> bool:
    counted = day.hours.length if budget.whole_day else min(over, day.hours.length)
    loudest = max(budget.spend(piece).per_second for piece in day.pieces)
    return loudest * counted.total_seconds() > budget.limit
