"""Who stands in a stall's way: the others with whom it shares the right to sound."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import log10

from showtime.fair import Performance
from showtime.fair.hall import HallDay, HallPlan, Together

_NEAREST_M = 0.01


@dataclass(frozen=True, slots=True)
class InTheWay:
    """Another stall, how far away, by which rules it counts together with this one, what it plays.

    `heard_here_dba` is its loudest piece as it is heard at this stall, `heard_there_dba` this
    one's as it is heard there: free-field estimates, None where no level is told.
    """

    number: int
    stall: str
    distance_m: float
    rules: tuple[Together, ...]
    plays: tuple[Performance, ...]
    heard_here_dba: float | None
    heard_there_dba: float | None


def in_the_way(plan: HallPlan, number: int) -> list[InTheWay]:
    """All stalls that a rule of distance binds to this one, the nearest first."""
    hall = plan.hall
    found = [
        _one(plan, number, other, rules)
        for other, rules in _bound(hall, number)
        if rules and other != number
    ]
    return sorted(found, key=lambda each: (each.distance_m, each.number))


def hall_wide(hall: HallDay) -> list[Together]:
    """The rules that bind every stall to every other."""
    return [rule for rule in hall.together if rule.within_m is None]


def pairs(hall: HallDay) -> list[tuple[int, int, float]]:
    """All pairs of stalls that a rule of distance binds, with their distance in metres."""
    return [
        (one, other, hall.places[one].distance_m(hall.places[other]))
        for one in range(len(hall.places))
        for other, rules in _bound(hall, one)
        if rules and one < other
    ]


def _bound(hall: HallDay, number: int) -> Iterator[tuple[int, tuple[Together, ...]]]:
    near = [rule for rule in hall.together if rule.within_m is not None]
    for other, place in enumerate(hall.places):
        yield other, tuple(rule for rule in near if rule.binds(hall.places[number], place))


def _one(plan: HallPlan, number: int, other: int, rules: tuple[Together, ...]) -> InTheWay:
    hall = plan.hall
    distance = hall.places[number].distance_m(hall.places[other])
    return InTheWay(
        other,
        hall.names[other],
        distance,
        rules,
        tuple(plan.performances[other]),
        _level_at(plan.performances[other], distance),
        _level_at(plan.performances[number], distance),
    )


def _level_at(plays: Sequence[Performance], distance_m: float) -> float | None:
    """The loudest of them so far away: divergence as in ISO 9613-2, an estimate."""
    levels = [each.piece.level_dba for each in plays if each.piece.level_dba is not None]
    if not levels:
        return None
    return max(levels) - 20 * log10(max(distance_m, _NEAREST_M))
