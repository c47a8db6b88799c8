"""What each stall is handed of a joint plan: its times, and those in which it must be silent."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from showtime.fair import Answers, Performance, QuietInterval, Span
from showtime.fair.hall import HallDay, HallPlan, Handout
from showtime.planning.hall.naming import listed, shortened
from showtime.planning.hall.overfull import bounds, members
from showtime.planning.hall.stretches import stretches

_NAMED = 3
"""No more stalls than these are named as playing; the rest are counted."""


def handouts(plan: HallPlan) -> tuple[Handout, ...]:
    """Each stall's part of the plan, in the order of the hall's days."""
    taken = Taken(plan.hall, plan.performances)
    return tuple(
        Handout(name, plan.hall.date, given, taken.quiet_for(number))
        for number, (name, given) in enumerate(zip(plan.hall.names, plan.performances, strict=True))
    )


class Taken:
    """The times that the performances in a hall take from others."""

    def __init__(self, hall: HallDay, performances: Sequence[Sequence[Performance]]) -> None:
        self._hall = hall
        self._bounds = bounds(hall)
        self._stretches = list(stretches(performances))

    def quiet_for(self, stall: int) -> tuple[QuietInterval, ...]:
        """When `stall` must be silent in its open hours, because it would sound with too many.

        As few and as short as can be: what touches is one interval, and its `why` names all who
        play in it. Questions are answered softly meanwhile, as over a performance of one's own.
        """
        hours = self._hall.days[stall].hours
        found: list[tuple[datetime, datetime, list[int]]] = []
        for stretch in self._stretches:
            others = self._others(stall, stretch.sounding)
            starts, ends = max(stretch.span.start, hours.start), min(stretch.span.end, hours.end)
            if not others or starts >= ends:
                continue
            if found and found[-1][1] == starts:
                starts, _, before = found.pop()
                others = [*before, *(one for one in others if one not in before)]
            found.append((starts, ends, others))
        return tuple(
            QuietInterval(self._why(others), Span(starts, ends), answers=Answers.SOFTLY)
            for starts, ends, others in found
        )

    def _others(self, stall: int, sounding: int) -> list[int]:
        """With whom `stall` would be too many, by any rule."""
        others = 0
        for bound in self._bounds:
            others |= bound.too_many(stall, sounding) or 0
        return list(members(others))

    def _why(self, others: Sequence[int]) -> str:
        names = [self._hall.names[one] for one in others]
        if len(names) == 1:
            return f"a performance at {names[0]}"
        return f"performances at {listed(shortened(names, _NAMED))}"
