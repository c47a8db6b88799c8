"""When not all that must be can be: a smallest set of rules that clash."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from showtime.fair import Where

if TYPE_CHECKING:
    from showtime.planning.rulebook import Need, Rulebook


@dataclass(frozen=True, slots=True)
class ClashingRule:
    """One of the rules that cannot all hold: its name, its words, and where it is written.

    The name is that of a rule of a valid plan, or `wishes.performances` (no more than so many). Of
    what must be it is `fixed`; and where a wanted start is to fit in, `wanted`, `promised` for a
    start that was said, and `now` when the time has passed.
    """

    rule: str
    why: str
    where: Where | None = None


@dataclass(frozen=True, slots=True)
class Clash:
    """Rules that cannot all hold, fixed performances among them.

    No other set of fewer rules clashes; without any one of these the others could hold.
    """

    rules: tuple[ClashingRule, ...]


def smallest_clash(rulebook: Rulebook, needs: Sequence[Need]) -> Clash:
    """A clash with the fewest members, given that rules and needs cannot all hold.

    Every set that clashes shares a member with the complement of every set that does not. So
    the least set to do so with all complements known so far is the answer once it clashes itself
    (implicit hitting sets: Reiter, Artificial Intelligence 32 (1987); from memory).
    """
    count = len(rulebook.told)
    every = frozenset(range(count + len(needs)))

    def holds(members: frozenset[int]) -> bool:
        wanted = [need for number, need in enumerate(needs, count) if number in members]
        return rulebook.standing(wanted, [one for one in members if one < count]) is not None

    left_out: list[frozenset[int]] = []
    while holds(members := _least_meeting(left_out)):
        for one in sorted(every - members):
            if holds(members | {one}):
                members |= {one}
        left_out.append(every - members)
    told = [*rulebook.told, *(need.told for need in needs)]
    return Clash(tuple(told[one] for one in sorted(members)))


def _least_meeting(sets: Sequence[frozenset[int]]) -> frozenset[int]:
    """A set with the fewest members that shares one with each of `sets`."""

    def within(size: int, met: frozenset[int]) -> frozenset[int] | None:
        missed = next((one for one in sets if not one & met), None)
        if missed is None:
            return met
        if size == 0:
            return None
        tries = (within(size - 1, met | {member}) for member in sorted(missed))
        return next((found for found in tries if found is not None), None)

    size = 0
    while (found := within(size, frozenset())) is None:
        size += 1
    return found
