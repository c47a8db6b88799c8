"""What a fair's noise rules ask of each stall by itself, as budgets of its days."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import inf, sqrt

from showtime.fair import Day
from showtime.fair.budgets import Neighbour, Noise
from showtime.fair.hall import HallNoise, Stand


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
    limits = {each: list(_limits(stands, rules, each)) for each in dates}
    return tuple(_with(stand, limits) for stand in stands)


def _with(stand: Stand, limits: dict[date, list[_Limit]]) -> Stand:
    days = []
    for day in stand.stall.days:
        found = [limit.budget(stand, day) for limit in limits[day.date]]
        more = tuple(budget for budget in found if budget is not None)
        days.append(replace(day, budgets=(*day.budgets, *more)) if more else day)
    return replace(stand, stall=replace(stand.stall, days=tuple(days)))


@dataclass(frozen=True)
class _Limit:
    """One limit over one stretch of time, and the stalls where it holds, from left to right."""

    rule: HallNoise
    over: timedelta
    listeners: tuple[Stand, ...]
    across: tuple[float, ...]

    def budget(self, stand: Stand, day: Day) -> Noise | None:
        """None when nothing that the stall could play is ever too loud for anybody."""
        listener, away = self._nearest(stand, self._reach_m(day))
        if listener is None:
            return None
        rule = self.rule
        budget = Noise(
            rule.limit_dba,
            Neighbour(listener.name, away),
            self.over,
            rule.whole_day,
            because=rule.because,
            where=rule.where,
        )
        loudest = max(budget.spend(piece).per_second for piece in day.pieces)
        return budget if loudest * self._sounding(day).total_seconds() > budget.limit else None

    def _sounding(self, day: Day) -> timedelta:
        """The most sound that may fall into the stretch."""
        return day.hours.length if self.rule.whole_day else min(self.over, day.hours.length)

    def _reach_m(self, day: Day) -> float:
        """From how far away nobody hears too much, whatever is played (with a little to spare)."""
        loudest = max((piece.level_dba or 0.0 for piece in day.pieces), default=0.0)
        energy = 10 ** ((loudest - self.rule.limit_dba) / 10)
        return 1.001 * sqrt(energy * (self._sounding(day) / self.over))

    def _nearest(self, stand: Stand, reach_m: float) -> tuple[Stand | None, float]:
        """The nearest other listener within reach, and how far away it is."""
        x_m, found, nearest = stand.place.x_m, None, inf
        first = bisect_left(self.across, x_m - reach_m)
        last = bisect_right(self.across, x_m + reach_m)
        for other in self.listeners[first:last]:
            away = stand.place.distance_m(other.place)
            if away < nearest and other is not stand:
                found, nearest = other, away
        return found, nearest


def _limits(stands: Sequence[Stand], rules: Sequence[HallNoise], on: date) -> Iterator[_Limit]:
    """The rules on that day; one over the day is one for each length of the listeners' hours."""
    open_ = [(stand, day) for stand in stands if (day := stand.stall.day(on))]
    open_.sort(key=lambda one: one[0].place)
    for rule in rules:
        by_stretch: dict[timedelta, list[Stand]] = {}
        for stand, day in open_:
            if rule.holds_at(stand.name):
                over = day.hours.length if rule.whole_day else rule.over
                by_stretch.setdefault(over, []).append(stand)
        for over, listeners in sorted(by_stretch.items(), key=lambda one: one[0]):
            across = tuple(stand.place.x_m for stand in listeners)
            yield _Limit(rule, over, tuple(listeners), across)
