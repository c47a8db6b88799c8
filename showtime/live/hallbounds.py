"""What the hall has laid upon a stall's day so far, and the day with it. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TypeVar

from showtime.fair import Answers, Day, QuietInterval, Span
from showtime.fair.budgets import AtMost, Budget, Neighbour, Noise, Performances, Sounding
from showtime.live.slot import Cap, Hush, Slot

T = TypeVar("T")

_ENDLESS = 1e7
"""Seconds, or what else is limited: no fair day has so much of anything."""


@dataclass(frozen=True)
class HallBounds:
    """All that the hall has said and that still holds.

    `planned` is this stall's part of the last plan, with the times `beside` it in which others
    sound; `others` are those times as they were told last. `called` are the organiser's calls
    for quiet by their names.
    """

    planned: tuple[Slot, ...] = ()
    beside: tuple[Hush, ...] = ()
    others: tuple[Hush, ...] = ()
    called: tuple[tuple[str, Hush], ...] = ()
    caps: tuple[Cap, ...] = ()

    @property
    def quiet(self) -> tuple[QuietInterval, ...]:
        """Others' sound is answered over softly; when quiet was called for, words are shown."""
        others = (_quiet(hush, Answers.SOFTLY) for hush in self.others if hush.end > hush.start)
        organiser = (_quiet(hush, Answers.SILENT) for _, hush in self.called)
        return (*others, *organiser)

    @property
    def budgets(self) -> tuple[Budget, ...]:
        return tuple(budget for cap in self.caps if (budget := budget_of(cap)))

    def is_planned(self, hush: Hush) -> bool:
        """True when others' sound then is known by the last plan, and was not told since."""
        return any(
            each.why == hush.why and each.start <= hush.start and hush.end <= each.end
            for each in self.beside
        )

    def hush(self, call: str) -> Hush | None:
        """The quiet of that call."""
        return dict(self.called).get(call)

    def calling(self, call: str, hush: Hush | None) -> HallBounds:
        """The same with this quiet for that call, in place of what it was; None: without one."""
        rest = tuple(each for each in self.called if each[0] != call)
        return replace(self, called=(*rest, *([(call, hush)] if hush else [])))


def laid_upon(day: Day, before: HallBounds, after: HallBounds) -> Day:
    """The day on which `before` lay, with `after` in its place."""
    quiet = (*_without(day.quiet, before.quiet), *after.quiet)
    return replace(
        day, quiet=quiet, budgets=(*_without(day.budgets, before.budgets), *after.budgets)
    )


def _without(all_of_it: Iterable[T], some: Iterable[T]) -> tuple[T, ...]:
    """What is left when each of `some` is taken out once: the stall may have the same by itself."""
    left = list(all_of_it)
    for each in some:
        if each in left:
            left.remove(each)
    return tuple(left)


def _quiet(hush: Hush, answers: Answers) -> QuietInterval:
    return QuietInterval(hush.why, Span(hush.start, hush.end), answers=answers)


def hushes(
    quiet: Sequence[QuietInterval], after: datetime, within: Span | None = None
) -> tuple[Hush, ...]:
    """The quiet as the journal keeps it, as far as it lies `after` that moment, in order."""
    found = []
    for each in quiet:
        begins, ends = max(each.forbidden.start, after), each.forbidden.end
        if begins < ends and (within is None or each.forbidden.meets(within)):
            found.append(Hush(begins, ends, each.why))
    return tuple(sorted(found))


def ahead(known: Iterable[Hush], after: datetime) -> tuple[Hush, ...]:
    """The part of it that lies after that moment."""
    return tuple(
        sorted(replace(hush, start=max(hush.start, after)) for hush in known if hush.end > after)
    )


def cap_of(budget: Budget) -> Cap | None:
    """A limit as the journal keeps it; None for what no hall sets, such as a battery's charge."""
    match budget:
        case Performances(most, in_any):
            return _cap(budget, float(most), in_any)
        case Sounding(most, in_any):
            return _cap(budget, most.total_seconds(), in_any)
        case AtMost(piece, most):
            return Cap(budget.rule, float(most), 0.0, True, budget.because, piece)
        case Noise(limit, neighbour, over, whole_day):
            at, distance = neighbour.name, neighbour.distance_m
            seconds = over.total_seconds()
            return Cap(budget.rule, limit, seconds, whole_day, budget.because, at, distance)
    return None


def _cap(budget: Performances | Sounding, most: float, in_any: timedelta | None) -> Cap:
    seconds = in_any.total_seconds() if in_any else 0.0
    return Cap(budget.rule, most, seconds, in_any is None, budget.because)


def budget_of(cap: Cap) -> Budget | None:
    """The limit that the journal kept; None for one that this program does not know."""
    if not (0 <= cap.most < _ENDLESS and (cap.all_day or 0 < cap.seconds < _ENDLESS)):
        return None
    in_any = None if cap.all_day else timedelta(seconds=cap.seconds)
    if cap.rule == Performances.rule:
        return Performances(round(cap.most), in_any, because=cap.why)
    if cap.rule == Sounding.rule:
        return Sounding(timedelta(seconds=cap.most), in_any, because=cap.why)
    if cap.rule == AtMost.rule:
        return AtMost(cap.of, round(cap.most), because=cap.why)
    if cap.rule == Noise.rule and cap.seconds > 0 and cap.distance_m > 0:
        heard_at, over = Neighbour(cap.of, cap.distance_m), timedelta(seconds=cap.seconds)
        return Noise(cap.most, heard_at, over, cap.all_day, because=cap.why)
    return None
