"""All stalls' choices side by side, and every rule between stalls asked of some of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from showtime.fair import Performance
from showtime.fair.hall import HallDay
from showtime.planning.choices import pairs
from showtime.planning.gauges import Floats, Ints
from showtime.planning.hall.booths import Booth, booths
from showtime.planning.hall.din import Din, dins
from showtime.planning.hall.groups import SoundingGroup, sounding_groups
from showtime.planning.limits import cuts, overlapping


@dataclass(frozen=True)
class Joint:
    """The hall's choices, numbered through; times are microseconds since the hall's opening.

    A plan is an array of numbers of choices, in order.
    """

    hall: HallDay
    booths: list[Booth]
    stall: Ints
    starts: Ints
    ends: Ints
    worth: Floats
    power: Floats
    groups: tuple[SoundingGroup, ...]

    def __len__(self) -> int:
        return len(self.stall)

    @cached_property
    def dins(self) -> list[Din]:
        return dins(self.hall, self.booths, self.starts, self.ends)

    @cached_property
    def groups_of(self) -> list[list[int]]:
        """Per stall, the numbers of the groups that it is in."""
        found: list[list[int]] = [[] for _ in self.booths]
        for number, group in enumerate(self.groups):
            for stall in group.stalls:
                found[stall].append(number)
        return found

    @cached_property
    def near(self) -> list[frozenset[int]]:
        """Per stall, those that may not always sound beside it (without rules for all the hall)."""
        near: list[set[int]] = [set() for _ in self.booths]
        for group in self.groups:
            if group.together.within_m is not None:
                for stall in group.stalls:
                    near[stall] |= group.stalls
        return [frozenset(those - {stall}) for stall, those in enumerate(near)]

    def counts(self, chosen: Ints) -> Ints:
        return np.bincount(self.stall[chosen], minlength=len(self.booths))

    def of(self, chosen: Ints, stall: int) -> Ints:
        """That stall's part of a plan, numbered as in its own task."""
        booth = self.booths[stall]
        mine = chosen[(chosen >= booth.first) & (chosen < booth.first + len(booth))]
        return mine - booth.first

    def numbers(self, performances: Sequence[Sequence[Performance]]) -> Ints:
        """The choices that these performances are."""
        found = []
        for booth, given in zip(self.booths, performances, strict=True):
            mine = pairs(booth.task.day, booth.task.pieces, given)
            found.append(booth.task.numbers(mine) + booth.first)
        return np.sort(np.concatenate([np.zeros(0, np.int64), *found]))

    def performances(self, chosen: Ints) -> tuple[tuple[Performance, ...], ...]:
        return tuple(
            booth.task.performances(self.of(chosen, booth.number)) for booth in self.booths
        )

    def crowded(self, chosen: Ints, near: Collection[int] | None = None) -> list[Ints]:
        """Sets of choices of which not all can be made: too many of a group sound at a moment.

        Only groups with one of the stalls `near` are looked at (None: all).
        """
        stalls = range(len(self.booths)) if near is None else near
        numbers = sorted({number for stall in stalls for number in self.groups_of[stall]})
        groups = [self.groups[number] for number in numbers]
        return [guilty for group in groups for guilty in self.crowded_in(group, chosen)]

    def crowded_in(self, group: SoundingGroup, chosen: Ints) -> list[Ints]:
        """The same of one group."""
        mine = chosen[np.isin(self.stall[chosen], list(group.stalls))]
        starts, ends = self.starts[mine], self.ends[mine]
        begun = np.searchsorted(np.sort(starts), starts, side="right")
        over = np.searchsorted(np.sort(ends), starts, side="right")
        moments = np.unique(starts[begun - over > group.most])
        return [mine[(starts <= moment) & (moment < ends)] for moment in moments.tolist()]

    def too_loud(self, chosen: Ints) -> list[Ints]:
        """Sets of choices of which not all can be made: they are too loud at some stall."""
        found = []
        for din in self.dins:
            energies = din.energies(self.power[chosen], chosen, self.stall[chosen])
            for listener, stretch in zip(*np.nonzero(energies > din.room), strict=True):
                sounding = din.sounding[din.span[chosen], stretch] * self.power[chosen]
                guilty = sounding * din.heard[listener, self.stall[chosen]] > 0
                found.append(chosen[guilty])
        return found

    def breaks_own_rules(self, chosen: Ints, stall: int) -> list[Ints]:
        """Sets of that stall's choices of which not all can be made, by its own rules."""
        booth = self.booths[stall]
        mine = self.of(chosen, stall)
        rows = cuts(booth.task, mine).packed()
        begins = np.append(rows.begins, len(rows.row))
        return [
            rows.column[begins[row] : begins[row + 1]] + booth.first for row in range(len(rows))
        ]

    def keeps_every_rule(self, chosen: Ints) -> bool:
        """The whole plan judged in exact arithmetic, each rule of its own accord."""
        if self.crowded(chosen) or self.too_loud(chosen):
            return False
        for booth in self.booths:
            mine = self.of(chosen, booth.number)
            task = booth.task.with_choices(booth.task.choices.taken(mine))
            if overlapping(task) or len(cuts(booth.task, mine)):
                return False
            if booth.task.most is not None and len(mine) > booth.task.most:
                return False
            if any(len(np.intersect1d(needed, mine)) != 1 for needed in booth.task.needed):
                return False
        return True


def joint(hall: HallDay, every_piece: bool = False) -> Joint:
    """The hall, with only the pieces that the levels can want, or with all."""
    stands = booths(hall, every_piece)
    none, nothing = np.zeros(0, np.int64), np.zeros(0)
    return Joint(
        hall,
        stands,
        np.concatenate([none, *(np.full(len(booth), booth.number) for booth in stands)]),
        np.concatenate([none, *(booth.task.choices.starts + booth.opens for booth in stands)]),
        np.concatenate([none, *(booth.task.choices.ends + booth.opens for booth in stands)]),
        np.concatenate([nothing, *(booth.worth for booth in stands)]),
        np.concatenate([nothing, *(booth.power for booth in stands)]),
        _strictest(sounding_groups(hall)),
    )


def _strictest(groups: tuple[SoundingGroup, ...]) -> tuple[SoundingGroup, ...]:
    """Without groups that lie within another of which no more may sound."""

    def idle(number: int, group: SoundingGroup) -> bool:
        return any(
            group.stalls <= other.stalls
            and other.most <= group.most
            and (group.stalls < other.stalls or other.most < group.most or at < number)
            for at, other in enumerate(groups)
            if at != number
        )

    return tuple(group for number, group in enumerate(groups) if not idle(number, group))
