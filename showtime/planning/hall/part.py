"""Some of the hall's stalls decided together, beside all that the others do."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.hall.din import Din
from showtime.planning.hall.groups import SoundingGroup
from showtime.planning.hall.joint import Joint
from showtime.planning.highs import Outcome, Programme, Relaxation, solve
from showtime.planning.rows import PackedRows, Rows

TOLERATED = 1e-7
_NOISY_AT_ONCE = 60
"""So many rows against noise are let in at a time, the most exceeded first."""


@dataclass(frozen=True)
class Terms:
    """What is asked of a part's plan besides the rules: rows, and columns after the choices.

    `cost` is minimised; `step` is the least that two plans' costs differ by (0: not known).
    """

    cost: Floats
    step: float = 0.0
    rows: PackedRows | None = None
    whole: int = 0
    """So many more columns, each 0 or 1."""
    parts: int = 0
    """And after them so many from 0 to 1 that need not be whole."""
    completed: Callable[[Truths], Floats] | None = None
    """What the further columns are when these choices (by column) are made."""


@dataclass(frozen=True)
class Found:
    """The best plan of a part (None: none was found), whether that is proven, and what is not.

    No plan of it costs less than `least`.
    """

    chosen: Ints | None
    proven: bool
    least: float
    impossible: bool = False


class Part:
    """The choices of `stalls` that can be made beside `beside`, the choices of all others.

    `heard`: what those are heard with, per limit of noise, where that is known. `also`: choices
    that are to be among them.
    """

    def __init__(
        self,
        joint: Joint,
        stalls: Collection[int],
        beside: Ints,
        noisy: bool = True,
        heard: Sequence[Floats] | None = None,
        also: Ints | None = None,
    ) -> None:
        self.joint = joint
        self.stalls = sorted(stalls)
        self._beside = beside
        self._dins = self._listen(heard) if noisy else []
        booths = [joint.booths[stall] for stall in self.stalls]
        # Where nothing could be too loud, nobody needs to play what is quieter.
        parts = [booth.choices if self._dins else booth.unheard for booth in booths]
        parts += [] if also is None else [also]
        self.columns = np.unique(np.concatenate([np.zeros(0, np.int64), *parts]))
        self._rows = Rows()
        self._barred: list[Ints] = []
        for number in sorted({one for stall in self.stalls for one in joint.groups_of[stall]}):
            self._together(joint.groups[number])
        if self._barred:
            self.columns = np.setdiff1d(self.columns, np.concatenate(self._barred))
        self._own_rules()
        self.packed = self._rows.packed().over(self.columns, len(joint))

    def _listen(self, heard: Sequence[Floats] | None) -> list[tuple[Din, Floats]]:
        """The limits that this part could pass, and what room the others leave."""
        joint = self.joint
        if heard is None:
            heard = [heard_of(joint, din, self._beside) for din in joint.dins]
        rooms = [(din, din.room - there) for din, there in zip(joint.dins, heard, strict=True)]
        return [(din, room) for din, room in rooms if self._may_be_noisy(din, room)]

    def _own_rules(self) -> None:
        for stall in self.stalls:
            booth = self.joint.booths[stall]
            rows = booth.rows
            shifted = PackedRows(
                rows.row, rows.column + booth.first, rows.factor, rows.lower, rows.upper
            )
            self._rows.add_packed(shifted)

    def _together(self, group: SoundingGroup) -> None:
        """At each moment no more of the group's choices than the others leave room for."""
        joint = self.joint
        free = [stall for stall in self.stalls if stall in group.stalls]
        mine = self.columns[np.isin(joint.stall[self.columns], free)]
        theirs = self._beside[np.isin(joint.stall[self._beside], list(group.stalls))]
        starts, ends = joint.starts[mine], joint.ends[mine]
        moments = np.unique(np.concatenate([starts, joint.starts[theirs]]))
        taken = (joint.starts[theirs] <= moments[:, None]) & (moments[:, None] < joint.ends[theirs])
        most = group.most - taken.sum(axis=1)
        sounding = (starts <= moments[:, None]) & (moments[:, None] < ends)
        full = most <= 0
        self._barred.append(mine[sounding[full].any(axis=0)])
        sounding, most = sounding[~full], most[~full]
        if not len(most):
            return
        # A row of which nothing ends before the next moment is part of the next row.
        goes = (sounding[:-1] & ~sounding[1:]).any(axis=1) | (most[:-1] < most[1:])
        wanted = np.append(goes, True) & (sounding.sum(axis=1) > most)
        row, column = np.nonzero(sounding[wanted])
        self._rows.lengths.append(np.bincount(row, minlength=int(wanted.sum())))
        self._rows.columns.append(mine[column])
        self._rows.factors.append(np.ones(len(row)))
        self._rows.lower.append(np.full(int(wanted.sum()), -np.inf))
        self._rows.upper.append(most[wanted].astype(np.float64))

    def keep_only(self, which: Truths) -> None:
        """Looks at no other choices."""
        kept = np.flatnonzero(which)
        self.packed = self.packed.over(kept, len(self.columns))
        self.columns = self.columns[kept]

    def local(self, chosen: Ints) -> Ints:
        """Where these choices are among the part's columns, as far as they are."""
        at = np.searchsorted(self.columns, chosen)
        at = at[at < len(self.columns)]
        there = chosen[: len(at)]
        return np.asarray(at[self.columns[at] == there], dtype=np.int64)

    def counting(self, stall: int) -> Ints:
        """The columns of one stall's choices."""
        return np.flatnonzero(self.joint.stall[self.columns] == stall)

    def best(
        self, terms: Terms, remaining: Callable[[], float], known: Ints | None = None
    ) -> Found:
        """The cheapest plan of this part that keeps every rule, within the time that remains."""
        count = len(self.columns)
        extra = terms.whole + terms.parts
        if terms.rows is not None:
            self.packed = self.packed.joined(terms.rows)
        self._quiet_enough(terms, remaining)
        least = -np.inf
        while True:
            programme = Programme(
                terms.cost,
                np.zeros(count + extra),
                np.ones(count + extra),
                np.concatenate([np.ones(count + terms.whole), np.zeros(terms.parts)]).astype(int),
                self.packed,
            )
            start = None if known is None else self._start(known, terms)
            gap = 0.999 * terms.step or 1e-7
            outcome = solve(programme, seconds=remaining(), gap=gap, start=start)
            least = max(least, outcome.least)
            if outcome.values is None:
                return Found(None, False, least, outcome.impossible)
            chosen = self.columns[np.flatnonzero(outcome.values[:count] > 0.5)]
            if not self._against(chosen):
                return Found(chosen, outcome.proven, least)

    def made(self, known: Ints) -> Truths:
        """Per column, whether it is one of these choices."""
        return np.asarray(np.isin(self.columns, known))

    def _start(self, known: Ints, terms: Terms) -> Floats | None:
        made = self.made(known)
        if terms.completed is not None:
            return np.append(made, terms.completed(made))
        return None if terms.whole + terms.parts else made.astype(np.float64)

    def _quiet_enough(self, terms: Terms, remaining: Callable[[], float]) -> None:
        """Lets in the rows against noise that the relaxation runs against."""
        if not self._dins:
            return
        count = len(terms.cost)
        programme = Programme(
            terms.cost, np.zeros(count), np.ones(count), np.zeros(count, np.int64), self.packed
        )
        relaxation = Relaxation(programme)
        while remaining() > 0:
            outcome: Outcome = relaxation.solve(remaining())
            if outcome.values is None:
                return
            more = self.noisy(outcome.values[: len(self.columns)])
            if not len(more):
                return
            relaxation.add(more)
            self.packed = self.packed.joined(more)

    def _may_be_noisy(self, din: Din, room: Floats) -> bool:
        """Whether all of the part's stalls at their loudest could be too loud anywhere."""
        most = din.heard[:, self.stalls] @ din.loudest[self.stalls]
        return bool((most > room.min(axis=1, initial=np.inf)).any())

    def noisy(self, values: Floats) -> PackedRows:
        """Rows against noise that these values pass, in units of what may be heard."""
        joint = self.joint
        rows = Rows()
        used = np.flatnonzero(values > 0)
        chosen = self.columns[used]
        for din, room in self._dins:
            power = joint.power[chosen] * values[used]
            level = din.energies(power, chosen, joint.stall[chosen])
            scale = np.where(np.isfinite(din.room), din.room, 1.0)
            excess = np.where(np.isfinite(room), (level - room) / scale, -1.0)
            for listener, stretch in _most_passed(excess):
                sounding = din.sounding[din.span[self.columns], stretch]
                heard = sounding * joint.power[self.columns]
                heard = heard * din.heard[listener, joint.stall[self.columns]]
                limit = scale[listener, stretch]
                those = np.flatnonzero(heard > 1e-9 * limit)
                rows.add(those, heard[those] / limit, upper=float(room[listener, stretch] / limit))
        return rows.packed()

    def heard_at(self) -> Iterator[tuple[Floats, Floats]]:
        """Per listener that could hear too much: what each column is heard with, and the room.

        By stretches (rows), in units of what may be heard.
        """
        joint = self.joint
        stall, power = joint.stall[self.columns], joint.power[self.columns]
        for din, room in self._dins:
            sounding = din.sounding[din.span[self.columns]].T * power
            for listener, limit in enumerate(din.room):
                there = np.isfinite(limit) & (limit > 0)
                if there.any():
                    scale = limit[there]
                    heard = sounding[there] * din.heard[listener, stall] / scale[:, None]
                    yield heard, room[listener, there] / scale

    def _too_loud(self, chosen: Ints) -> list[Ints]:
        """Of these choices, sets that cannot all be made beside what the others sound."""
        joint = self.joint
        found = []
        for din, room in self._dins:
            over = heard_of(joint, din, chosen) > room
            for listener, stretch in zip(*np.nonzero(over), strict=True):
                sounding = din.sounding[din.span[chosen], stretch] * joint.power[chosen]
                found.append(chosen[sounding * din.heard[listener, joint.stall[chosen]] > 0])
        return found

    def _against(self, chosen: Ints) -> bool:
        """Whether a rule is really broken; if so there are now rows against that."""
        joint = self.joint
        values = np.zeros(len(self.columns))
        values[self.local(chosen)] = 1.0
        more = self.noisy(values)
        rows = Rows()
        guilty = [] if len(more) else self._too_loud(chosen)
        for stall in self.stalls:
            guilty += joint.breaks_own_rules(chosen, stall)
        for those in guilty:
            rows.add(self.local(those), 1.0, upper=len(those) - 1.0)
        self.packed = self.packed.joined(more).joined(rows.packed())
        return bool(len(more) or guilty)


def heard_of(joint: Joint, din: Din, chosen: Ints) -> Floats:
    """What these choices are heard with: per listener and stretch."""
    return din.energies(joint.power[chosen], chosen, joint.stall[chosen])


def _most_passed(excess: Floats) -> list[tuple[int, int]]:
    """Per listener the stretch that is passed most; not too many."""
    if not excess.size:
        return []
    worst = excess.argmax(axis=1)
    by = excess[np.arange(len(excess)), worst]
    order = [one for one in np.argsort(-by, kind="stable").tolist() if by[one] > TOLERATED]
    return [(one, int(worst[one])) for one in order[:_NOISY_AT_ONCE]]
