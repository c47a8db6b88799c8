"""How the level of a budget runs over a day, walked in real time from event to event.

Events are opening, closing, every start and end, and those moments again when a rolling window
lets go of them. Between two events a level changes at one steady rate (or decays towards one
target), so its extremes lie at events and nothing between them needs to be looked at.
Times are whole microseconds and counts whole numbers: only the spending itself is a float.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import accumulate, pairwise
from math import expm1

from showtime.fair import Day, Performance, Piece, Span
from showtime.fair.budgets import Budget, Leak, Spend, Window

_MICROSECOND = timedelta(microseconds=1)
_DRAWN_EVERY = 60 * 10**6
"""A decaying level gets points this near to each other (microseconds), for those who draw it."""

_SLACK = 1e-9
"""The share of its limit by which a level may be above it: sums of floats are not exact."""


_ANOTHER_DATE = timedelta(days=1)
"""What is further than this from the open hours spends nothing of this day's budgets."""


@dataclass(frozen=True, slots=True)
class Point:
    """A level at a moment. Two points at one moment are a jump."""

    at: datetime
    level: float


def exceeds(level: float, limit: float) -> bool:
    """True when `level` is above `limit` by more than floating sums can be wrong."""
    return level > limit + _SLACK * abs(limit)


def course(budget: Budget, day: Day, performances: Sequence[Performance]) -> tuple[Point, ...]:
    """The level of `budget` from opening (or an earlier start) to closing (or a later end).

    The level at t of a rolling window of width W is what is spent in the span of that length
    that ends at t; in the second of two points at one moment a start there counts, and one
    that is exactly W ago counts no longer: the window is half-open.
    `resting` is spent in the open hours, by a leaking budget also outside them. What a budget
    has spent before the day (`initial`) counts from the first moment of the walk. A leaking budget
    whose level is known at a later moment is walked from there. Performances that sound together
    each spend their own.
    """
    played = _Played(day.hours, by_date(day, performances)[0])
    spends = {piece: budget.spend(piece) for piece in played.starts}
    match budget.drain:
        case Leak(time_constant, since):
            begins = None if since is None else (since - day.hours.start) // _MICROSECOND
            points = _leaking(budget, spends, played, time_constant.total_seconds(), begins)
        case Window(width):
            points = _rolling(budget, spends, played, width // _MICROSECOND)
        case _:
            longer_than_the_day = played.marks[-1] - played.marks[0] + 1
            points = _rolling(budget, spends, played, longer_than_the_day)
    return tuple(Point(day.hours.start + at * _MICROSECOND, level) for at, level in points)


def by_date(
    day: Day, performances: Sequence[Performance]
) -> tuple[list[Performance], list[Performance]]:
    """The performances in order of time, and apart from them those of other dates altogether."""
    first, last = day.hours.start - _ANOTHER_DATE, day.hours.end + _ANOTHER_DATE
    ordered = sorted(performances, key=lambda each: (each.starts, each.piece.name))
    near = [each for each in ordered if first <= each.starts <= last]
    return near, [each for each in ordered if not first <= each.starts <= last]


class _Played:
    """What sounds when, in microseconds from opening; `performances` are in order of time."""

    def __init__(self, hours: Span, performances: Sequence[Performance]) -> None:
        self.starts: dict[Piece, list[int]] = {}
        closes = hours.length // _MICROSECOND
        marks = {0, closes}
        sounding = []
        for performance in performances:
            start = (performance.starts - hours.start) // _MICROSECOND
            end = start + performance.piece.lasts // _MICROSECOND
            self.starts.setdefault(performance.piece, []).append(start)
            marks |= {start, end}
            sounding.append((start, end))
        self.marks = sorted(marks)
        self._sums = {piece: [0, *accumulate(starts)] for piece, starts in self.starts.items()}
        self._silences = _silences(sounding, closes)
        self._silent_before = [0, *accumulate(end - start for start, end in self._silences)]

    def started(self, piece: Piece, after: int, until: int) -> int:
        """How often `piece` starts in (after, until]."""
        starts = self.starts[piece]
        return bisect_right(starts, until) - bisect_right(starts, after)

    def sounding(self, piece: Piece, at: int) -> int:
        """How often `piece` sounds at once at `at`; more than once is wrong but is counted."""
        return self.started(piece, at - piece.lasts // _MICROSECOND, at)

    def sounded(self, piece: Piece, until: int) -> int:
        """How long `piece` has sounded before `until`."""
        starts, sums, lasts = self.starts[piece], self._sums[piece], piece.lasts // _MICROSECOND
        over = bisect_right(starts, until - lasts)
        begun = bisect_right(starts, until)
        return over * lasts + (begun - over) * until - (sums[begun] - sums[over])

    def silent(self, until: int) -> int:
        """How long nothing has sounded in the open hours before `until`."""
        begun = bisect_right(self._silences, (until, until))
        if not begun:
            return 0
        start, end = self._silences[begun - 1]
        return self._silent_before[begun - 1] + min(until, end) - start


def _silences(sounding: list[tuple[int, int]], closes: int) -> list[tuple[int, int]]:
    """The stretches of [0, closes) in which nothing sounds; `sounding` is in order of starts."""
    silences, quiet_from = [], 0
    for start, end in [*sounding, (closes, closes)]:
        if quiet_from < min(start, closes):
            silences.append((quiet_from, min(start, closes)))
        quiet_from = max(quiet_from, end)
    return silences


def _rolling(
    budget: Budget, spends: dict[Piece, Spend], played: _Played, width: int
) -> Iterator[tuple[int, float]]:
    first, last = played.marks[0], played.marks[-1]

    def level(until: int, starts_until: int) -> float:
        after, starts_after = until - width, starts_until - width
        total = budget.initial if starts_after < first <= starts_until else 0.0
        total += budget.resting * (played.silent(until) - played.silent(after)) / 10**6
        for piece, spend in spends.items():
            sounded = played.sounded(piece, until) - played.sounded(piece, after)
            total += spend.at_start * played.started(piece, starts_after, starts_until)
            total += spend.per_second * sounded / 10**6
        return total

    let_go = {mark + width for mark in played.marks}
    for at in sorted({*played.marks, *(mark for mark in let_go if mark <= last)}):
        before, after = level(at, at - 1), level(at, at)
        if at > first and before != after:
            yield at, before
        yield at, after


def _leaking(
    budget: Budget,
    spends: dict[Piece, Spend],
    played: _Played,
    time_constant: float,
    since: int | None,
) -> Iterator[tuple[int, float]]:
    level = budget.initial
    marks = played.marks
    if since is not None:
        marks = [since, *(mark for mark in marks if mark > since)]
    yield marks[0], level
    for mark, following in pairwise(marks):
        at_once = sum(
            spend.at_start * played.started(piece, mark - 1, mark)
            for piece, spend in spends.items()
        )
        if at_once:
            level += at_once
            yield mark, level
        counts = {piece: played.sounding(piece, mark) for piece in spends}
        rate = sum(spends[piece].per_second * count for piece, count in counts.items())
        target = (rate if any(counts.values()) else budget.resting) * time_constant
        begins = level
        for at in [*range(mark + _DRAWN_EVERY, following, _DRAWN_EVERY), following]:
            level = begins - (target - begins) * expm1(-(at - mark) / 10**6 / time_constant)
            yield at, level
