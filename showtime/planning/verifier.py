"""The independent verifier: which rules a list of performances breaks, whoever made it.

It knows nothing of how plans are found. Every rule of a valid plan is checked here against real
time; wishes are not rules, save that what is fixed must be there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Day, Performance, Where, instant
from showtime.fair.budgets import Budget, Leak, Noise, Window
from showtime.planning.course import Point, by_date, course, exceeds
from showtime.planning.wallclock import clock, length

_WELL_KEPT = 1 - 1e-6
"""A level below this part of its limit is not above it by any rounding."""


@dataclass(frozen=True, slots=True)
class Broken:
    """A broken rule, in a person's words; `where` is the place in a file that set the rule.

    `at` is the start of the performance that breaks it, or the moment itself when none sounds
    then. A limit that stays exceeded for a stretch of time is broken once.
    Rules: "piece" (not one of the day's), "opens", "closes", "grid", "quiet", "gap" (also two at
    once), "fixed", and the rule of each budget: "performances", "sounding", "level", "heat",
    "battery", "at_most".
    """

    rule: str
    why: str
    at: datetime
    where: Where | None = None


def broken(day: Day, performances: Sequence[Performance]) -> tuple[Broken, ...]:
    """Every rule of `day` that `performances` break, in order of time; empty for a valid plan.

    The list may come from anywhere: unsorted, with doubles, with unknown pieces, outside the day.
    """
    ordered, strays = by_date(day, performances)
    found = [
        *(_stray(day, performance) for performance in strays),
        *(each for performance in ordered for each in _alone(day, performance)),
        *_too_close(day, ordered),
        *_missing(day, ordered),
        *(each for budget in _suspect(day, ordered) for each in _overspent(budget, day, ordered)),
    ]
    return tuple(sorted(found, key=lambda each: each.at))


def _stray(day: Day, performance: Performance) -> Broken:
    rule = "opens" if performance.starts < day.hours.start else "closes"
    then = f"{performance.starts:%Y-%m-%d %H:%M} UTC"
    why = f"{performance.piece.name} at {then} is not on {day.date.isoformat()}"
    return Broken(rule, why, performance.starts, day.where)


def _named(day: Day, performance: Performance) -> str:
    return f"{performance.piece.name} at {clock(day, performance.starts)}"


def _alone(day: Day, performance: Performance) -> Iterator[Broken]:
    """What one performance breaks whatever the others do."""
    name, starts, piece = _named(day, performance), performance.starts, performance.piece
    if piece.name not in [known.name for known in day.pieces]:
        yield Broken("piece", f"{name}: no piece of that name is known", starts)
    elif piece not in day.pieces:
        known = day.piece(piece.name)
        yield Broken("piece", f"{name} is not the {piece.name} of this day", starts, known.where)
    if starts < day.hours.start:
        opens = clock(day, day.hours.start)
        yield Broken("opens", f"{name} starts before opening at {opens}", starts, day.where)
    if performance.ends > day.hours.end:
        ends, closes = clock(day, performance.ends), clock(day, day.hours.end)
        why = f"{name} ends at {ends}, after closing at {closes}"
        yield Broken("closes", why, starts, day.where)
    if not day.on_grid(starts):
        grid = length(day.wishes.start_on)
        why = f"{name} is not on the {grid} grid, counted from the hour"
        yield Broken("grid", why, starts)
    for quiet in day.quiet:
        if performance.span.meets(quiet.forbidden):
            kept = f"{clock(day, quiet.span.start)} to {clock(day, quiet.span.end)}"
            margin = f" with {length(quiet.margin)} on both sides" if quiet.margin else ""
            why = f"{name} would sound in a quiet interval: {quiet.why}, {kept}{margin}"
            yield Broken("quiet", why, starts, quiet.where)


def _too_close(day: Day, ordered: Sequence[Performance]) -> Iterator[Broken]:
    """Starts that come too soon after the end of any earlier performance."""
    before: Performance | None = None
    for performance in ordered:
        if before is not None and performance.starts < _ready(day, before):
            yield _gap_broken(day, before, performance)
        if before is None or _ready(day, performance) > _ready(day, before):
            before = performance


def _ready(day: Day, performance: Performance) -> datetime:
    return performance.ends + day.rest_after(performance.piece)


def _gap_broken(day: Day, before: Performance, performance: Performance) -> Broken:
    name, earlier = _named(day, performance), _named(day, before)
    if performance.starts < before.ends:
        why = f"{name} starts while {earlier} sounds until {clock(day, before.ends)}"
    else:
        passed = length(performance.starts - before.ends)
        least = length(day.rest_after(before.piece))
        cause = "the gap" if day.gap >= before.piece.reset else f"{before.piece.name}'s reset"
        why = f"{name} starts {passed} after {earlier} ends; {cause} is at least {least}"
    where = before.piece.where if before.piece.reset > day.gap else None
    return Broken("gap", why, performance.starts, where)


def _missing(day: Day, ordered: Sequence[Performance]) -> Iterator[Broken]:
    """Fixed performances that are not in the list."""
    for fixed in day.wishes.fixed:
        at = instant(fixed.at)
        then = [each.piece.name for each in ordered if each.starts == at]
        if not (then if fixed.piece is None else fixed.piece in then):
            cause = f" ({fixed.why})" if fixed.why else ""
            instead = f"; {' and '.join(then)} is there instead" if then else ""
            wanted = fixed.piece or "a performance"
            why = f"{wanted} is fixed for {clock(day, at)}{cause} but not planned{instead}"
            yield Broken("fixed", why, at, fixed.where)


def _suspect(day: Day, ordered: Sequence[Performance]) -> Iterator[Budget]:
    """All budgets, but of the noise at many neighbours none when it is well kept at the nearest.

    Noise over the same stretches weighs the same sounds everywhere, each by one factor: where that
    is largest beside the limit, the limit is passed first.
    """
    noises = [budget for budget in day.budgets if isinstance(budget, Noise)]
    strictest: dict[tuple[timedelta, bool], Noise] = {}
    for noise in sorted(noises, key=_strictness):
        strictest[noise.over, noise.whole_day] = noise
    kept = set()
    for kind, noise in strictest.items():
        highest = max(point.level for point in course(noise, day, ordered))
        if highest < noise.limit * _WELL_KEPT:
            kept.add(kind)
    for budget in day.budgets:
        if not (isinstance(budget, Noise) and (budget.over, budget.whole_day) in kept):
            yield budget


def _strictness(noise: Noise) -> float:
    """How much of its limit a source takes, in decibels."""
    return noise.at.level_dba(0.0) - noise.limit_dba


def _overspent(budget: Budget, day: Day, ordered: Sequence[Performance]) -> Iterator[Broken]:
    """One Broken for each stretch of time in which the level is above its limit."""
    points = course(budget, day, ordered)
    before, worst, blamed = points[0], None, points[0].at
    for point in points:
        if exceeds(point.level, budget.limit):
            if worst is None:
                blamed = _blamed(budget, before, point, ordered)
            worst = point if worst is None or point.level > worst.level else worst
        elif worst is not None:
            yield _excess(budget, day, ordered, blamed, worst)
            worst = None
        before = point
    if worst is not None:
        yield _excess(budget, day, ordered, blamed, worst)


def _blamed(
    budget: Budget, before: Point, above: Point, ordered: Sequence[Performance]
) -> datetime:
    """The start of what sounds while the limit is passed, between two neighbouring points."""
    sounding = [each.starts for each in ordered if each.span.holds(before.at)]
    if sounding:
        return max(sounding)
    rise = above.level - before.level
    share = (budget.limit - before.level) / rise if rise > 0 else 1.0
    passed = before.at + (above.at - before.at) * min(max(share, 0.0), 1.0)
    return passed.replace(microsecond=0)


def _excess(
    budget: Budget, day: Day, ordered: Sequence[Performance], blamed: datetime, worst: Point
) -> Broken:
    figure = budget.shown(worst.level)
    if figure == budget.shown(budget.limit):
        figure = f"just over {figure}"
    match budget.drain:
        case Window(width):
            begins = _window_begins(budget, ordered, worst.at, width)
            when = f"between {clock(day, begins)} and {clock(day, begins + width)}"
        case Leak():
            when = f"at {clock(day, worst.at)}"
        case _:
            when = "over the day"
    return Broken(budget.rule, f"{figure} {when}; {budget.why}", blamed, budget.where)


def _window_begins(
    budget: Budget, ordered: Sequence[Performance], ends: datetime, width: timedelta
) -> datetime:
    """A full window reads best from the first thing in it; it holds as much from there."""
    begins = ends - width
    inside = [each.starts for each in ordered if each.starts <= ends and each.ends > begins]
    return max(begins, min(inside)) if inside and not budget.resting else begins
