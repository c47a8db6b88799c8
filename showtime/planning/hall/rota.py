"""A first plan: stalls that are near to each other take turns by the clock.

Near stalls get different colours. The day is cut into equal turns that go round the colours; each
stall plays as well as it can in its own turns alone, so that near ones hardly ever meet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.hall.joint import Joint
from showtime.planning.hall.part import Part, Terms
from showtime.planning.moments import MINUTE
from showtime.planning.rows import Rows

LENGTHS = (5, 10, 15, 20, 30, 45, 60)  # of a turn, minutes
STEP = 5
ROUNDS = (0.4, 0.6, 0.8, 0.9, 1.0)
SAMPLE = 16
"""So many stalls tell how good turns of some length are for all."""


@dataclass(frozen=True)
class Rota:
    """Turns of `length`, counted from `begin` (microseconds), that go round the colours."""

    length: int
    begin: int
    colours: Ints

    def inside(self, joint: Joint, choices: Ints) -> Truths:
        """Which choices sound in their stall's own turns alone."""
        first = (joint.starts[choices] - self.begin) // self.length
        last = (joint.ends[choices] - 1 - self.begin) // self.length
        round_ = int(self.colours.max(initial=0)) + 1
        mine = self.colours[joint.stall[choices]]
        return np.asarray((first == last) & (first % round_ == mine))


def coloured(near: Sequence[frozenset[int]]) -> Ints:
    """A colour for each stall, different from those near it: the most hemmed in first."""
    colours = np.full(len(near), -1)
    for _ in near:
        free = np.flatnonzero(colours < 0).tolist()
        stall = max(free, key=lambda one: (_seen(colours, near[one]), len(near[one]), -one))
        taken = {int(colours[other]) for other in near[stall]}
        colours[stall] = next(c for c in range(len(near)) if c not in taken)
    return colours


def _seen(colours: Ints, near: frozenset[int]) -> int:
    return len({int(colours[other]) for other in near} - {-1})


def rotas(joint: Joint) -> Iterator[Rota]:
    colours = coloured(joint.near)
    round_ = int(colours.max(initial=0)) + 1
    for length in LENGTHS:
        for begin in range(0, length * round_, STEP):
            yield Rota(length * MINUTE, begin * MINUTE, colours)


def best_rota(joint: Joint, worth: Floats, fixed: Ints) -> Rota:
    """The turns by which some of the stalls, each for itself, have most of their worth."""
    stride = max(1, len(joint.booths) // SAMPLE)
    sample = range(0, len(joint.booths), stride)
    parts = [Part(joint, [stall], _others(joint, fixed, stall), False) for stall in sample]

    def pleasing(rota: Rota) -> float:
        inside = [part.columns[rota.inside(joint, part.columns)] for part in parts]
        return sum(_packed(joint, choices, worth) for choices in inside)

    return max(rotas(joint), key=pleasing)


def _packed(joint: Joint, choices: Ints, worth: Floats) -> float:
    """How much fits of these choices of one stall, taken as they come."""
    if not len(choices):
        return 0.0
    booth = joint.booths[int(joint.stall[choices[0]])]
    free, point, found = -1, np.zeros(len(booth)), 0.0
    for choice in choices.tolist():
        mine = choice - booth.first
        if joint.starts[choice] < free:
            continue
        point[mine] = 1.0
        if (booth.rows.levels(point) > booth.rows.upper + 1e-9).any():
            point[mine] = 0.0
            continue
        free = int(booth.task.occupied[mine] + booth.opens)
        found += float(worth[choice])
    return found


def _others(joint: Joint, chosen: Ints, stall: int) -> Ints:
    return np.asarray(chosen[joint.stall[chosen] != stall], dtype=np.int64)


def taken_in_turn(
    joint: Joint, rota: Rota, worth: Floats, fixed: Ints, remaining: Callable[[], float]
) -> Ints:
    """A plan of all stalls that play in their own turns alone, `fixed` besides.

    If that is too loud somewhere they play what is heard least; and if that still is, in rounds,
    so that none has much before the others have some.
    """
    in_turn = rota.inside(joint, np.arange(len(joint)))
    enough = np.zeros(len(joint), dtype=np.bool_)
    enough[np.concatenate([fixed, *(booth.unheard for booth in joint.booths)])] = True
    for wanted in (in_turn & enough, in_turn & _quietest(joint)):
        wanted[fixed] = True
        chosen = _in_turn(joint, worth, fixed, wanted, np.inf, False, remaining)
        if not joint.dins or not joint.too_loud(chosen):
            return chosen
    full = joint.counts(chosen)
    chosen = fixed
    for part in ROUNDS:
        most = np.ceil(full * part)
        chosen = _in_turn(joint, worth, chosen, wanted, most, True, remaining)
    return chosen


def _in_turn(
    joint: Joint,
    worth: Floats,
    chosen: Ints,
    wanted: Truths,
    most: Floats | float,
    noisy: bool,
    remaining: Callable[[], float],
) -> Ints:
    """Each stall decided anew over what is wanted, none having more than `most`."""
    for booth in joint.booths:
        others = _others(joint, chosen, booth.number)
        mine = np.setdiff1d(chosen, others)
        also = booth.choices[wanted[booth.choices]]
        part = Part(joint, [booth.number], others, noisy, also=also)
        part.keep_only(wanted[part.columns] | np.isin(part.columns, mine))
        rows = Rows()
        if np.ndim(most):
            limit = max(float(np.asarray(most)[booth.number]), len(mine))
            rows.add(np.arange(len(part.columns)), 1.0, upper=limit)
        terms = Terms(-worth[part.columns], 1.0, rows.packed())
        found = part.best(terms, remaining, mine)
        if found.chosen is not None:
            chosen = np.union1d(others, found.chosen)
    return chosen


def _quietest(joint: Joint) -> Truths:
    """At each start of a stall, of the pieces there could be the one that is heard least."""
    wanted = np.ones(len(joint), dtype=np.bool_)
    energy = joint.power * (joint.ends - joint.starts)
    for booth in joint.booths:
        mine = np.arange(booth.first, booth.first + len(booth))
        for start in np.unique(joint.starts[mine]).tolist():
            those = mine[joint.starts[mine] == start]
            wanted[those] = energy[those] <= energy[those].min()
    return wanted
