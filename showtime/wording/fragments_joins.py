"""Which fragments to record besides the smallest set, so that fewer joins are heard.

A word of a time and a single "the" are short to record and many to join. Of any two fragments
that often meet, recording them once more as one spares that join wherever they meet; the pairs
that spare most are taken first, until no further one is worth its recording.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from random import Random
from typing import TypeAlias

from showtime.wording.fragments_covering import Piece
from showtime.wording.fragments_stretches import Ending, ending_of
from showtime.wording.fragments_units import Forms, Said, Unit, said_at_random
from showtime.wording.situation import Kind

Spoken: TypeAlias = tuple[tuple[Unit, ...], Ending]
"""A stretch as units, and how it ends."""

_Pair: TypeAlias = tuple[tuple[Unit, ...], tuple[Unit, ...], Ending]
"""Two pieces that meet, each as its units, and how the second ends."""

SENTENCES = 6000
"""So many are drawn: a pair that spares a join in a hundred sentences then shows 60 times."""

OFTEN = {Kind.NEXT: 6, Kind.SOON: 3, Kind.CALL: 3, Kind.PLAYING: 3}
"""How much oftener than other situations these are met on a day; an estimate."""

AT_A_NAME = 0.3
"""What a join between the bank's words and a name or time counts, to one within either: a speaker
who fills in a time sets it off as well."""


def drawn(forms: Forms, random: Random) -> tuple[Counter[Spoken], int]:
    """Stretches of sentences drawn as the figure would say them, and of how many sentences."""
    kinds = [kind for kind, form in forms.by_kind.items() if form.options]
    weights = [OFTEN.get(kind, 1) for kind in kinds]
    found = Counter[Spoken]()
    for kind in random.choices(kinds, weights, k=SENTENCES):
        found.update(_stretches(said_at_random(forms.by_kind[kind], random)))
    return found, SENTENCES


def _stretches(row: Iterable[Said]) -> Iterable[Spoken]:
    units = list[Unit]()
    for said in row:
        if said.words:
            units.append(said.words)
        elif units:
            yield tuple(units), ending_of(said.sign)
            units.clear()
    if units:
        yield tuple(units), Ending.ON


def fewest_joins(
    units: Sequence[Unit], ending: Ending, pieces: frozenset[Piece]
) -> tuple[tuple[Unit, ...], ...] | None:
    """The stretch put together from the fewest pieces, each as the units that it holds; None when
    it cannot be."""
    best: list[tuple[tuple[Unit, ...], ...] | None] = [()]
    for end in range(1, len(units) + 1):
        closing = ending if end == len(units) else Ending.ON
        found: tuple[tuple[Unit, ...], ...] | None = None
        for begin in range(end):
            before = best[begin]
            if before is None or (found is not None and len(before) + 1 >= len(found)):
                continue
            if (sum(units[begin:end], ()), closing) in pieces:
                found = (*before, tuple(units[begin:end]))
        best.append(found)
    return best[-1]


class Sparing:
    """Stretches put together from pieces, while pairs of pieces become one."""

    def __init__(
        self, said: Counter[Spoken], pieces: Iterable[Piece], filled: frozenset[Unit]
    ) -> None:
        self._filled = filled
        self._weights = list[int]()
        self._rows = list[list[tuple[Unit, ...]]]()
        self._endings = list[Ending]()
        self._where: dict[_Pair, set[int]] = {}
        having = frozenset(pieces)
        for (units, ending), often in said.items():
            row = fewest_joins(units, ending, having)
            if row is not None:
                self._weights.append(often)
                self._rows.append(list(row))
                self._endings.append(ending)
        self._gains: Counter[_Pair] = Counter()
        for number in range(len(self._rows)):
            self._count(number, 1)

    @property
    def joins(self) -> int:
        """Joins in all the stretches as they are put together now."""
        pairs = zip(self._rows, self._weights, strict=True)
        return sum((len(row) - 1) * often for row, often in pairs)

    def best(self) -> tuple[float, Piece] | None:
        """How many joins the best pair spares, weighed, and the pair as one piece; None: no pair
        is left."""
        pair = self._best_pair()
        if pair is None:
            return None
        one, other, ending = pair
        return self._worth(pair), (sum(one + other, ()), ending)

    def join_best(self) -> None:
        """Has the best pair recorded as one."""
        pair = self._best_pair()
        if pair is None:
            return
        for number in sorted(self._where.pop(pair)):
            self._count(number, -1)
            self._join(number, *pair)
            self._count(number, 1)
        self._gains.pop(pair, None)

    def used(self) -> frozenset[Piece]:
        """The pieces of which the stretches are put together now."""
        found = set[Piece]()
        for row, ending in zip(self._rows, self._endings, strict=True):
            found |= {(sum(piece, ()), Ending.ON) for piece in row[:-1]}
            found.add((sum(row[-1], ()), ending))
        return frozenset(found)

    def _best_pair(self) -> _Pair | None:
        return max(self._gains, key=lambda pair: (self._worth(pair), pair), default=None)

    def _worth(self, pair: _Pair) -> float:
        one, other, _ = pair
        set_off = (one[-1] in self._filled) is not (other[0] in self._filled)
        return self._gains[pair] * (AT_A_NAME if set_off else 1.0)

    def _count(self, number: int, sign: int) -> None:
        row, ending = self._rows[number], self._endings[number]
        for place in range(len(row) - 1):
            closing = ending if place + 2 == len(row) else Ending.ON
            pair = (row[place], row[place + 1], closing)
            self._gains[pair] += sign * self._weights[number]
            self._where.setdefault(pair, set()).add(number)

    def _join(
        self, number: int, one: tuple[Unit, ...], other: tuple[Unit, ...], ending: Ending
    ) -> None:
        row, joined, place = self._rows[number], list[tuple[Unit, ...]](), 0
        while place < len(row):
            last = place + 2 == len(row)
            closing = self._endings[number] if last else Ending.ON
            if row[place : place + 2] == [one, other] and closing is ending:
                joined.append(one + other)
                place += 2
            else:
                joined.append(row[place])
                place += 1
        self._rows[number] = joined
