"""A joint plan with all that is reckoned from it for the organiser's papers, reckoned once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from showtime.fair import Performance
from showtime.fair.hall import HallDay, HallNoise, HallPlan, Handout

if TYPE_CHECKING:
    from showtime.planning.course import Point

_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Heard:
    """How loud all others together are at a stall over the day, estimated.

    `points`: the energy-mean level (dBA) over the `over` that ends at each moment; `floor_dba`
    stands for silence. `rule`: what limits it; None: nothing does.
    """

    stall: str
    over: timedelta
    rule: HallNoise | None
    points: tuple[Point, ...]
    floor_dba: float

    @property
    def loudest(self) -> Point | None:
        """The highest point; None where nothing is ever heard."""
        heard = [point for point in self.points if point.level > self.floor_dba]
        return max(heard, key=lambda point: point.level, default=None)

    @property
    def stretch(self) -> str:
        minutes = f"{self.over.total_seconds() / 60:g}"
        return "the whole day" if self.rule and self.rule.whole_day else f"any {minutes} min"


@dataclass(frozen=True)
class Joint:
    """The joint plan, what each stall is handed of it, and how loud it is at each."""

    plan: HallPlan
    handouts: tuple[Handout, ...]
    heard: tuple[tuple[Heard, ...], ...]

    @property
    def hall(self) -> HallDay:
        return self.plan.hall

    @cached_property
    def by_time(self) -> list[tuple[datetime, list[tuple[int, Performance]]]]:
        """What starts when, with the numbers of the stalls, in order."""
        starts: dict[datetime, list[tuple[int, Performance]]] = {}
        for number, each in self.in_order():
            starts.setdefault(each.starts, []).append((number, each))
        return sorted(starts.items())

    def in_order(self) -> Iterator[tuple[int, Performance]]:
        """Every performance with its stall's number, by time, then by stall."""
        every = [
            (number, each) for number, those in enumerate(self.plan.performances) for each in those
        ]
        yield from sorted(every, key=lambda pair: (pair[1].starts, pair[0]))

    @property
    def levels_told(self) -> bool:
        """False when no piece of any stall has a level: nothing can be said about noise."""
        pieces = (piece for day in self.hall.days for piece in day.pieces)
        return any(piece.level_dba is not None for piece in pieces)


def joint(plan: HallPlan) -> Joint:
    """The plan with what follows from it. Where no rule limits noise, it is told over an hour."""
    from showtime.planning.hall import FLOOR_DBA, handouts, noise_courses

    hall = plan.hall
    wanted = [(number, rule) for number in range(len(hall.names)) for rule in _rules(hall, number)]
    overs = [_over(hall, number, rule) for number, rule in wanted]
    asked = [(hall.names[number], over) for (number, _), over in zip(wanted, overs, strict=True)]
    courses = noise_courses(hall, plan.performances, asked)
    heard: list[list[Heard]] = [[] for _ in hall.names]
    for (number, rule), over, points in zip(wanted, overs, courses, strict=True):
        heard[number].append(Heard(hall.names[number], over, rule, points, FLOOR_DBA))
    return Joint(plan, handouts(plan), tuple(map(tuple, heard)))


def _rules(hall: HallDay, number: int) -> list[HallNoise | None]:
    found: list[HallNoise | None] = [r for r in hall.noise if r.holds_at(hall.names[number])]
    return found or [None]


def _over(hall: HallDay, number: int, rule: HallNoise | None) -> timedelta:
    if rule is None:
        return _HOUR
    return hall.days[number].hours.length if rule.whole_day else rule.over
