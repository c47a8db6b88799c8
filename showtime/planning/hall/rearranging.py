"""Starts moved so that waits are shorter, or times rounder: some stalls, or some hours, anew.

All else stays as it is, so each such piece of the plan is small and solved to its end. Nobody is
taken below the share they have, and no worth is lost.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from random import Random

import numpy as np

from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.hall.part import Part, Terms
from showtime.planning.hall.search import Search
from showtime.planning.hall.strands import Measure, measure, strands, waiting
from showtime.planning.hall.terms import at_least
from showtime.planning.moments import MINUTE, as_instant

PATIENCE = 3.0
"""Seconds that a piece is given."""
LENGTHS = 2.5
"""Waits are looked at up to so many times the usual one; longer ones only where they are now."""
AROUND = 8
"""So many stalls at most are decided anew at the same hours."""
HOURS = (60, 90, 120, 180)  # minutes

Remaining = Callable[[], float]


@dataclass(frozen=True)
class Piece:
    """The starts of these stalls from `begins` until `ends` (microseconds of the hall)."""

    stalls: frozenset[int]
    begins: int
    ends: int


@dataclass
class Costs:
    """What plans cost on the last two levels: waits (see Measure) and ranks."""

    search: Search
    measure: Measure = field(init=False)
    ranks: Floats = field(init=False)

    def __post_init__(self) -> None:
        self.measure = measure(self.search.joint)
        ranks = [np.zeros(0)]
        for booth in self.search.joint.booths:
            day = booth.task.day
            starts = booth.task.choices.starts.tolist()
            minutes = [day.local(as_instant(day, start)).minute for start in starts]
            ranks.append(np.array([day.wishes.rank(one) for one in minutes], dtype=np.float64))
        self.ranks = np.concatenate(ranks)

    def waits(self, chosen: Ints) -> float:
        joint = self.search.joint
        cost = 0.0
        for booth in joint.booths:
            starts = booth.task.choices.starts[joint.of(chosen, booth.number)]
            marks = np.concatenate([[0], np.sort(starts), [booth.task.closes]])
            cost += float(self.measure.cost(booth.number, np.diff(marks)).sum())
        return cost

    def of(self, chosen: Ints) -> tuple[float, float]:
        """Rounded: what differs by no more is the same."""
        return round(self.waits(chosen), 6), float(self.ranks[chosen].sum())


def rearranged(search: Search, costs: Costs, rounder: bool, remaining: Remaining) -> None:
    """Piece after piece decided anew until none gains, as time allows.

    `rounder`: rounder times in waits that are no longer; else shorter waits.
    """
    order = list(dict.fromkeys(_pieces(search)))
    beside: dict[Piece, bytes] = {}
    while remaining() > 0:
        plan = search.chosen.tobytes()
        due = [piece for piece in order if beside.get(piece) != plan][: search.workers]
        if not due:
            return
        for piece in due:
            order.remove(piece)
            order.append(piece)
            beside[piece] = plan
        _decide(search, costs, due, rounder, remaining)


def _pieces(search: Search) -> Iterator[Piece]:
    """Single stalls, then hours of many stalls, then pairs and more stalls."""
    joint, random = search.joint, search.improver.random
    everyone = list(range(len(joint.booths)))
    day = (int(joint.starts.min(initial=0)), int(joint.ends.max(initial=0)) + 1)
    yield from (Piece(frozenset([stall]), *day) for stall in _shuffled(everyone, random))
    for width in HOURS[:2]:
        yield from _hours(search, day, width)
    for size in (2, 3):
        for stall in _shuffled(everyone, random):
            yield Piece(search.improver.around(stall, size), *day)
    for width in HOURS[2:]:
        yield from _hours(search, day, width)
    for stall in _shuffled(everyone, random):
        yield Piece(search.improver.around(stall, 4), *day)


def _hours(search: Search, day: tuple[int, int], width: int) -> Iterator[Piece]:
    """Every so often in the day, at stalls near to each other that together are all."""
    length = width * MINUTE
    left = set(range(len(search.joint.booths)))
    while left:
        stalls = search.improver.around(min(left), AROUND)
        left -= stalls
        every = list(range(day[0], day[1] - length // 2, length // 2))
        # Those that overlap are not looked at side by side.
        for begins in every[::2] + every[1::2]:
            yield Piece(stalls, begins, begins + length)


def _shuffled(stalls: list[int], random: Random) -> list[int]:
    return random.sample(stalls, len(stalls))


def _decide(
    search: Search, costs: Costs, pieces: Sequence[Piece], rounder: bool, remaining: Remaining
) -> None:
    """These pieces at the same time; each that gains is taken over where it fits the others."""
    with ThreadPoolExecutor(len(pieces)) as pool:
        every = list(pool.map(lambda one: _anew(search, costs, one, rounder, remaining), pieces))
    joint, before = search.joint, search.chosen
    for number, found in enumerate(every):
        if found is None:
            continue
        gone, come = np.setdiff1d(before, found), np.setdiff1d(found, before)
        if len(np.setdiff1d(gone, search.chosen)):
            continue
        after = np.union1d(np.setdiff1d(search.chosen, gone), come)
        if costs.of(after) >= costs.of(search.chosen):
            continue
        if number == 0 or (joint.keeps_every_rule(after) and _as_good(search, after)):
            search.take(after)


def _as_good(search: Search, after: Ints) -> bool:
    """On the levels before."""
    given = search.joint.counts(after)
    fewest = np.array(list(search.floors().values()), dtype=np.int64)
    worth = search.worth[after].sum() >= search.worth[search.chosen].sum() - 1e-6
    return bool(worth and (given >= fewest).all())


def _anew(
    search: Search, costs: Costs, piece: Piece, rounder: bool, remaining: Remaining
) -> Ints | None:
    """The whole plan with that piece at its best; None: it has the best, or none was found."""
    joint, chosen = search.joint, search.chosen
    mine = np.isin(joint.stall[chosen], list(piece.stalls))
    known, rest = chosen[mine], chosen[~mine]
    part = Part(joint, piece.stalls, rest, also=known)
    starts = joint.starts[part.columns]
    free = (starts >= piece.begins) & (starts < piece.ends)
    if not free.any():
        return None
    part.keep_only(free | part.made(known))
    starts = joint.starts[part.columns]
    stays = (starts < piece.begins) | (starts >= piece.ends)
    ends = remaining() - PATIENCE
    terms = _wanted(search, costs, part, known, stays, rounder)
    found = part.best(terms, lambda: min(remaining(), remaining() - ends), known)
    if found.chosen is None:
        return None
    after = np.union1d(rest, found.chosen)
    return after if costs.of(after) < costs.of(chosen) else None


def _wanted(
    search: Search,
    costs: Costs,
    part: Part,
    known: Ints,
    stays: Truths,
    rounder: bool,
) -> Terms:
    made = part.made(known)
    every = strands(part, costs.measure, stays)
    those = [strand.only(strand.usual(made, LENGTHS)) for strand in every]
    rows = at_least(part, search.floors())
    worth = search.worth[part.columns]
    rows.add(np.arange(len(worth)), worth, lower=float(worth[made].sum()) - 1e-6)
    asked = Terms(np.zeros(0), rows=rows.packed())
    if not rounder:
        return waiting(part, those, asked, step=costs.measure.step)
    spent = sum(float(strand.cost @ strand.path(made)) for strand in those)
    slack = 0.01 * costs.measure.step or 1e-7 * max(1.0, spent)
    return waiting(part, those, asked, costs.ranks[part.columns], spent + slack, 1.0)
