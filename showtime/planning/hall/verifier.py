"""The hall's independent judge: which rules the performances of all stalls break together.

It knows nothing of how plans are found. Each stall's own rules are judged by the stall's judge;
what stalls owe to each other is followed here through real time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from showtime.fair import Performance, Where
from showtime.fair.hall import HallDay, Together
from showtime.planning.hall.naming import listed, metres, shortened
from showtime.planning.hall.overfull import bounds, members
from showtime.planning.hall.stretches import turns
from showtime.planning.hall.too_loud import too_loud
from showtime.planning.verifier import broken
from showtime.planning.wallclock import clock

_NAMED = 4
"""No more stalls than these are named in the words of a broken rule; the rest are counted."""


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
        for each in broken(day, given)
    ]
    found += crowded(hall, performances)
    found += (
        HallBroken(hall.names[one.stall], "noise", one.why, one.at, one.noise.where, one.to_blame())
        for one in too_loud(hall, performances)
    )
    return tuple(sorted(found, key=lambda each: each.at))


def crowded(hall: HallDay, performances: Sequence[Sequence[Performance]]) -> Iterator[HallBroken]:
    """Starts of stalls that make too many at once, in order of time rule by rule.

    A stall that sounds already, by mistake, does not start to sound with its next performance.
    """
    every = list(turns(performances))
    for together, bound in zip(hall.together, bounds(hall), strict=True):
        sounding = 0
        for turn in every:
            if turn.begins:
                others = bound.too_many(turn.stall, sounding)
                if others is not None:
                    numbers = tuple(members(others))
                    yield _too_many(hall, together, turn.at, turn.stall, numbers)
            bit = 1 << turn.stall
            sounding = sounding | bit if turn.begins else sounding & ~bit


def _too_many(
    hall: HallDay, together: Together, at: datetime, stall: int, others: Sequence[int]
) -> HallBroken:
    name, then, names = hall.names[stall], clock(hall.days[stall], at), hall.names
    apart = [metres(hall.places[stall].distance_m(hall.places[one])) for one in others]
    far = together.within_m is not None
    if len(others) == 1:
        away = f", {apart[0]} apart" if far else ""
        told = f"{names[others[0]]} and {name} sound together at {then}{away}"
    else:
        who = [
            f"{names[one]} ({away} away)" if far else names[one]
            for one, away in zip(others, apart, strict=True)
        ]
        told = f"{name} sounds at {then} together with {listed(shortened(who, _NAMED))}"
    why = f"{told}; {together.why}"
    return HallBroken(name, "together", why, at, together.where, tuple(names[o] for o in others))
