"""How near each cap comes to its limit over a day."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from showtime.fair import Day, Performance, Span
from showtime.fair.budgets import Budget
from showtime.planning.course import Point, course


@dataclass(frozen=True, slots=True)
class Headroom:
    """One budget's level over the day.

    `points` are in order of time, straight lines lie between neighbours, and two points at one
    moment are a jump. `worst` is the highest level, `at` the moment when it is first reached.
    """

    budget: Budget
    worst: float
    at: datetime
    points: tuple[Point, ...]

    @property
    def used(self) -> float:
        """The highest share of the limit that is reached; 1 is all of it."""
        return self.share(self.worst)

    def share(self, level: float) -> float:
        """The share of the limit that `level` is."""
        if self.budget.limit > 0:
            return level / self.budget.limit
        return 0.0 if level <= self.budget.limit else float("inf")

    def highest_in(self, span: Span) -> float:
        """The highest level within `span`, half-open: a jump at its very end lies outside."""
        after = bisect_right(self.points, span.start, key=_time)
        past = bisect_left(self.points, span.end, key=_time)
        inside = [point.level for point in self.points[after:past]]
        return max([self._before(after, span.start), self._before(past, span.end), *inside])

    def _before(self, following: int, moment: datetime) -> float:
        """The level at `moment`, on the line that leads to the point of number `following`."""
        before = self.points[max(following - 1, 0)]
        after = self.points[min(following, len(self.points) - 1)]
        if after.at == before.at:
            return after.level
        share = (moment - before.at) / (after.at - before.at)
        return before.level + share * (after.level - before.level)


def _time(point: Point) -> datetime:
    return point.at


def headroom(day: Day, performances: Sequence[Performance]) -> tuple[Headroom, ...]:
    """For each budget of `day`, in its order, how near `performances` bring it to its limit."""
    return tuple(_headroom(budget, day, performances) for budget in day.budgets)


def _headroom(budget: Budget, day: Day, performances: Sequence[Performance]) -> Headroom:
    points = course(budget, day, performances)
    worst = max(points, key=lambda point: point.level)
    return Headroom(budget, worst.level, worst.at, points)
