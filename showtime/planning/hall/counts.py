"""How good a joint plan can be at most, told from counts alone: how many performances each has.

Whatever a cluster of stalls that are near to each other cannot have together by itself, it cannot
have in the hall. Rows that follow from the rules over counts, and what was proven of clusters, make
a small programme of whole numbers; no joint plan is better than its best.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import floor

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.hall.alone import Alone
from showtime.planning.hall.groups import SoundingGroup
from showtime.planning.hall.joint import Joint
from showtime.planning.highs import Outcome, Programme, solve
from showtime.planning.moments import SECOND
from showtime.planning.rows import Rows

Stalls = tuple[int, ...]


@dataclass
class Counts:
    """What is known of how many performances, and how much worth, the stalls can have.

    `counted` and `valued`: clusters, and the most performances or worth that they have together.
    Columns: each stall's count, then its worth, then what a level needs.
    """

    joint: Joint
    alone: Alone
    worth: Floats
    counted: dict[Stalls, int] = field(default_factory=dict)
    valued: dict[Stalls, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._always = Rows()
        for group in self.joint.groups:
            self._time(group)
        self._energy()
        each = [self.worth[booth.choices].max(initial=0.0) for booth in self.joint.booths]
        for stall, most in enumerate(each):
            both = np.array([stall, len(each) + stall])
            self._always.add(both, np.array([-float(most), 1.0]), upper=0.0)

    def smallest_share(self, remaining: Callable[[], float]) -> float:
        """No plan gives every stall a larger share."""
        shares = np.unique(
            [k / most for most in self.alone.counts.tolist() if most for k in range(most + 1)]
        )
        low, high = 0, len(shares) - 1
        while low < high and remaining() > 0:
            middle = (low + high + 1) // 2
            least = self.least(float(shares[middle]))
            outcome = self._solve(np.zeros(0), least, [], remaining)
            if outcome.impossible:
                high = middle - 1
            else:
                low = middle
        return float(shares[high]) if len(shares) else 1.0

    def least(self, share: float) -> Ints:
        """Per stall, the fewest performances that are so large a share of what it has alone."""
        return np.asarray(np.ceil(share * self.alone.counts - 1e-9), dtype=np.int64)

    def most_above(self, least: Ints, above: Ints, remaining: Callable[[], float]) -> int:
        """No more stalls than this have what is `above`, when none has less than `least`."""
        stalls = np.flatnonzero(above > least)
        rows = []
        first = 2 * len(least)
        for number, stall in enumerate(stalls.tolist()):
            row = (np.array([stall, first + number]), np.array([1.0, -1.0]), float(least[stall]))
            rows.append(row)
        cost = -np.ones(len(stalls))
        outcome = self._solve(cost, least, rows, remaining)
        most = -outcome.least if np.isfinite(outcome.least) else float(len(stalls))
        return min(floor(most + 1e-6), len(stalls))

    def most_worth(self, least: Ints, remaining: Callable[[], float]) -> int:
        """No plan is worth more, when none has less than `least`."""
        most = int(self.alone.worth.sum())
        outcome = self._solve(None, least, [], remaining)
        return min(most, floor(-outcome.least + 1e-6)) if np.isfinite(outcome.least) else most

    def _solve(
        self,
        cost: Floats | None,
        least: Ints,
        asked: Sequence[tuple[Ints, Floats, float]],
        remaining: Callable[[], float],
    ) -> Outcome:
        """`cost` of the columns after the first; None: as much worth as possible."""
        count = len(self.alone.counts)
        rows = Rows()
        rows.add_packed(self._always.packed())
        for those, most in self.counted.items():
            rows.add(np.array(those), 1.0, upper=float(most))
        for those, most in self.valued.items():
            rows.add(np.array(those) + count, 1.0, upper=float(most))
        for columns, factors, lower in asked:
            rows.add(columns, factors, lower=lower)
        more = np.zeros(0) if cost is None else cost
        value = np.full(count, -1.0 if cost is None else 0.0)
        floor_ = np.concatenate([least, np.zeros(count + len(more))]).astype(np.float64)
        upper = np.concatenate([self.alone.counts, self.alone.worth, np.ones(len(more))])
        if (floor_ > upper).any():
            return Outcome(None, impossible=True)
        programme = Programme(
            np.concatenate([np.zeros(count), value, more]),
            floor_,
            upper.astype(np.float64),
            np.ones(len(floor_), dtype=np.int64),
            rows.packed(),
        )
        return solve(programme, seconds=max(remaining(), 0.5), gap=0.999)

    def _time(self, group: SoundingGroup) -> None:
        """A group has `most` tracks; on a common grid each sound takes whole steps of its track."""
        joint = self.joint
        stalls = sorted(group.stalls)
        choices = [joint.booths[stall].choices for stall in stalls]
        every = np.concatenate(choices)
        if not len(every):
            return
        starts = np.unique(joint.starts[every])
        step = int(np.gcd.reduce(np.diff(starts))) or 1
        steps = -(-(joint.ends - joint.starts) // step)
        taken = np.zeros(int((starts[-1] - starts[0]) // step + steps[every].max()), np.bool_)
        for choice in every.tolist():
            first = int((joint.starts[choice] - starts[0]) // step)
            taken[first : first + int(steps[choice])] = True
        each = np.array([steps[mine].min(initial=10**9) for mine in choices], dtype=np.float64)
        room = float(group.most * int(taken.sum()))
        if (each * self.alone.counts[stalls]).sum() > room:
            self._always.add(np.array(stalls), each / room, upper=1.0 + 1e-9)

    def _energy(self) -> None:
        """The day is no more than so many stretches, in each of which only so much is heard."""
        joint = self.joint
        seconds = (joint.ends - joint.starts) / SECOND
        energy = seconds * joint.power
        least = np.array(
            [energy[booth.choices].min(initial=np.inf) for booth in joint.booths], dtype=np.float64
        )
        least[~np.isfinite(least)] = 0.0
        if not len(joint):
            return
        for din in joint.dins:
            covering = din.covering(int(joint.starts.min()), int(joint.ends.max()))
            if not covering:
                continue
            for listener, room in zip(din.heard, din.room[:, covering].sum(axis=1), strict=True):
                spent = listener * least
                if np.isfinite(room) and (spent * self.alone.counts).sum() > room:
                    those = np.flatnonzero(spent > 1e-9 * room)
                    self._always.add(those, spent[those] / room, upper=1.0 + 1e-9)
