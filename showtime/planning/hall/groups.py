"""Which stalls may not all sound at once: the largest sets that a rule between stalls binds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from showtime.fair.hall import HallDay, Place, Together

Numbers = frozenset[int]


@dataclass(frozen=True, slots=True)
class SoundingGroup:
    """Stalls (by their number in the hall) that all stand so near that `together` binds them.

    Of `stalls`, at most `most` sound at one moment.
    """

    stalls: frozenset[int]
    most: int
    together: Together


def sounding_groups(hall: HallDay) -> tuple[SoundingGroup, ...]:
    """Per rule, the maximal sets of stalls that it binds pairwise, where it can bind at all.

    A set of more than `most` stalls, all pairwise near, lies in one of these; so the rules hold if
    and only if they hold for each group. In order of rules, then of stalls.
    """
    found = []
    for together in hall.together:
        for stalls in _maximal(hall.places, together):
            if len(stalls) > together.most:
                found.append(SoundingGroup(stalls, together.most, together))
    return tuple(found)


def _maximal(places: Sequence[Place], together: Together) -> list[Numbers]:
    every = frozenset(range(len(places)))
    if together.within_m is None:
        return [every] if every else []
    near = [
        frozenset(two for two in every if two != one and together.binds(places[one], places[two]))
        for one in range(len(places))
    ]
    found = set(_grown(near, frozenset(), every, frozenset()))
    return sorted(found, key=lambda stalls: sorted(stalls))


def _grown(
    near: Sequence[Numbers], chosen: Numbers, candidates: Numbers, done: Numbers
) -> Iterator[Numbers]:
    """All maximal sets with `chosen` in them and none of `done`.

    Bron and Kerbosch's search, each time around a pivot: Communications of the ACM 16 (1973), from
    memory.
    """
    if not candidates and not done:
        yield chosen
        return
    if not candidates:
        return
    pivot = max(sorted(candidates | done), key=lambda one: len(near[one] & candidates))
    for one in sorted(candidates - near[pivot]):
        yield from _grown(near, chosen | {one}, candidates & near[one], done & near[one])
        candidates -= {one}
        done |= {one}
