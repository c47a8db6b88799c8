"""The hall's independent judge: which rules the performances of all stalls break together.

It knows nothing of how plans are found. Each stall's own rules are judged by the stall's judge;
what stalls owe to each other is followed here through real time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from showtime.fair import Day, Performance, Where
from showtime.fair.budgets import Noise
from showtime.fair.hall import HallDay
from showtime.planning.hall.overfull import Bound, members
from showtime.planning.hall.too_loud import too_loud
from showtime.planning.verifier import broken
from showtime.planning.wallclock import clock


@dataclass(frozen=True, slots=True)
class HallBroken:
    """A broken rule of a stall or of the hall, in a person's words.

    Rules: those of one stall's judge, broken by `stall` alone; "together": `stall` starts to
    sound beside `others` although so many may not at once; "noise": at `stall` it is too loud, and
    without `others`, the loudest first, it would not be.
    `at` is the start of the performance that breaks the rule: for "together" the one that makes
    them too many, for "noise" the last that began before the limit was passed (or that moment
    itself, when nothing sounds then). What goes on for a stretch of time is broken once.
    """

    stall: str
    rule: str
    why: str
    at: datetime
    where: Where | None = None
    others: tuple[str, ...] = ()


def broken_in_hall(
    hall: HallDay, performances: Sequence[Sequence[Performance]]
) -> tuple[HallBroken, ...]:
    """Every rule that the performances break, in order of time; empty for a valid joint plan.

    One list for each of `hall.days`, in their order, from anywhere: unsorted, with doubles, with
    unknown pieces, outside the day. ValueError when there are more or fewer lists than stalls.
    """
    found = [
        HallBroken(day.signboard.stall, each.rule, each.why, each.at, each.where)
        for day, given in zip(hall.days, performances, strict=True)
        for each in own_broken(day, given)
    ]
    found += crowded(hall, performances)
    found += (
        HallBroken(hall.names[one.stall], "noise", one.why, one.at, one.noise.where, one.others)
        for one in too_loud(hall, performances)
    )
    return tuple(sorted(found, key=lambda each: each.at))


def own_broken(day: Day, performances: Sequence[Performance]) -> Iterator[HallBroken]:
    """What a stall breaks of its own rules.

    A stall may owe it to hundreds of others not to be too loud. Over the same stretch of time
    all of these limits are kept if the tightest is.
    """
    tightest = _tightest(day)
    found = broken(replace(day, budgets=tightest), performances)
    if any(each.rule == Noise.rule for each in found) and len(tightest) < len(day.budgets):
        found = broken(day, performances)
    for each in found:
        yield HallBroken(day.signboard.stall, each.rule, each.why, each.at, each.where)


def _tightest(day: Day) -> tuple[object, ...]:
    raise NotImplementedError
