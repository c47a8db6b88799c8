"""The fewest fragments of which every stretch of a bank can be put together, proven stretch by
stretch.

Each unit apart, in each of its endings, would do. Two steps make fewer of them: a unit that is
always followed by the same one, or always follows the same one, is never needed alone, and so the
two are recorded as one. No step ever adds a fragment, and each spares a join.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from showtime.wording.fragments_neighbours import Neighbours
from showtime.wording.fragments_stretches import Ending, Stretch
from showtime.wording.fragments_units import Unit

Piece: TypeAlias = tuple[Unit, Ending]
"""Words, and how they end: what is recorded as one fragment."""


def smallest(said: Neighbours) -> list[Piece]:
    """A smallest set of pieces that the two steps lead to, in the bank's order."""
    joining = _Joining(said)
    joining.join_all()
    return joining.pieces()


def at_least(said: Neighbours) -> int:
    """A bound that no set of pieces can beat: each way in which some stretch ends needs a piece
    of its own."""
    return sum(len(endings) for endings in said.ends.values())


class _Joining:
    """Neighbours, while units that only come together are joined."""

    def __init__(self, said: Neighbours) -> None:
        self._starts = set(said.starts)
        self._after = {unit: set(after) for unit, after in said.after.items()}
        self._ends = {unit: set(ends) for unit, ends in said.ends.items()}
        self._before: dict[Unit, set[Unit]] = {unit: set() for unit in self._after}
        for unit, after in self._after.items():
            for follower in after:
                self._before[follower].add(unit)
        self._place = {unit: place for place, unit in enumerate(self._after)}

    def join_all(self) -> None:
        waiting = deque(self._after)
        while waiting:
            unit = waiting.popleft()
            if unit not in self._after:
                continue
            joined = self._with_follower(unit) or self._with_leader(unit)
            if joined is not None:
                waiting.append(joined)
                waiting.extend(sorted(self._before[joined] | self._after[joined]))

    def pieces(self) -> list[Piece]:
        ordered = sorted(self._after, key=lambda unit: self._place[unit])
        return [
            (unit, ending) for unit in ordered for ending in Ending if self._needs(unit, ending)
        ]

    def _needs(self, unit: Unit, ending: Ending) -> bool:
        return ending in self._ends[unit] or (ending is Ending.ON and bool(self._after[unit]))

    def _forms(self, unit: Unit) -> int:
        return sum(self._needs(unit, ending) for ending in Ending)

    def _with_follower(self, unit: Unit) -> Unit | None:
        """Joined with the only unit that ever follows it, if that adds no piece; where the unit
        may also end a stretch, that form of it stays."""
        if Ending.ON in self._ends[unit] or len(self._after[unit]) != 1:
            return None
        (follower,) = self._after[unit]
        alone = self._before[follower] == {unit} and follower not in self._starts
        if follower == unit or not (alone or self._forms(follower) == 1):
            return None
        joined = self._new(unit, follower)
        self._let_in(joined, unit)
        self._cut(unit, follower)
        if not self._ends[unit]:
            self._drop(unit)
        self._drop_if_unreached(follower)
        return joined

    def _with_leader(self, unit: Unit) -> Unit | None:
        """Joined with the only unit that it ever follows; that one may stay for others."""
        if unit in self._starts or len(self._before[unit]) != 1:
            return None
        (leader,) = self._before[unit]
        if leader == unit:
            return None
        joined = self._new(leader, unit)
        self._let_in(joined, leader)
        self._cut(leader, unit)
        self._drop_if_unreached(unit)
        if not self._ends[leader] and not self._after[leader]:
            self._drop(leader)
        return joined

    def _new(self, one: Unit, other: Unit) -> Unit:
        """The joined unit, with what follows the second."""
        joined = one + other
        self._place.setdefault(joined, self._place[other])
        for table in (self._after, self._before, self._ends):
            table.setdefault(joined, set())
        self._ends[joined] |= self._ends[other]
        for follower in self._after[other]:
            self._after[joined].add(follower)
            self._before[follower].add(joined)
        return joined

    def _let_in(self, joined: Unit, first: Unit) -> None:
        """What comes before `first` may come before the joined unit."""
        if first in self._starts:
            self._starts.add(joined)
        for leader in self._before[first]:
            self._after[leader].add(joined)
            self._before[joined].add(leader)

    def _cut(self, one: Unit, other: Unit) -> None:
        self._after[one].discard(other)
        self._before[other].discard(one)

    def _drop_if_unreached(self, unit: Unit) -> None:
        if unit in self._after and unit not in self._starts and not self._before[unit] - {unit}:
            self._drop(unit)

    def _drop(self, unit: Unit) -> None:
        for leader in self._before.pop(unit):
            if leader != unit:
                self._after[leader].discard(unit)
        for follower in self._after.pop(unit):
            if follower != unit:
                self._before[follower].discard(unit)
        self._starts.discard(unit)
        del self._ends[unit]


@dataclass(frozen=True, slots=True)
class _Reached:
    """A way through a bank's stretches: the unit said last, the words that no whole piece covers
    yet, by each manner of covering, and the endings in which a piece would end here."""

    unit: Unit
    open: frozenset[Unit]
    endings: frozenset[Ending]


def uncovered(said: Neighbours, pieces: Iterable[Piece]) -> Stretch | None:
    """A shortest stretch that the pieces cannot make; None when they make every one.

    Walks through all manners of covering all stretches at once, as a finite automaton is made
    deterministic; exact.
    """
    having = Pieces(pieces)
    waiting = deque[tuple[_Reached, Unit]]()
    seen = set[_Reached]()
    at_start = frozenset({()})
    for unit in sorted(said.starts):
        waiting.append((having.onward(at_start, unit), unit))
    while waiting:
        reached, words = waiting.popleft()
        if reached in seen:
            continue
        seen.add(reached)
        for ending in Ending:
            if ending in said.ends[reached.unit] and ending not in reached.endings:
                return Stretch(words, ending.value)
        for unit in sorted(said.after[reached.unit]):
            waiting.append((having.onward(reached.open, unit), words + unit))
    return None


def missing(said: Neighbours, having: Sequence[Piece]) -> list[Piece]:
    """Of a smallest set, those pieces that are still needed beside the ones there are."""
    if uncovered(said, having) is None:
        return []
    made = Pieces(having)
    needed = [piece for piece in smallest(said) if not made.covers(*piece)]
    for piece in [piece for piece in needed if _within(piece[0], having)]:
        left = [other for other in needed if other != piece]
        if uncovered(said, [*having, *left]) is None:
            needed = left
    return needed


def _within(words: Unit, having: Sequence[Piece]) -> bool:
    """True when longer pieces have the words in them, and so may make them needless."""
    length = len(words)
    return any(
        words == longer[begin : begin + length]
        for longer, _ in having
        for begin in range(len(longer) - length + 1)
    )


def is_said(said: Neighbours, piece: Piece) -> bool:
    """True when some sentence has a stretch that the piece can be a part of."""
    words, ending = piece

    def leads_on(unit: Unit, begin: int) -> bool:
        end = begin + len(unit)
        if words[begin:end] != unit:
            return False
        if end == len(words):
            goes_on = ending is Ending.ON and bool(said.after[unit])
            return goes_on or ending in said.ends[unit]
        return any(leads_on(follower, end) for follower in said.after[unit])

    return any(leads_on(unit, 0) for unit in said.after)


class Pieces:
    """Pieces, to find out what they cover."""

    def __init__(self, pieces: Iterable[Piece]) -> None:
        self._whole = frozenset(pieces)
        self._begun = frozenset(
            words[:length] for words, _ in self._whole for length in range(1, len(words) + 1)
        )
        self._known: dict[tuple[frozenset[Unit], Unit], _Reached] = {}

    def onward(self, before: frozenset[Unit], unit: Unit) -> _Reached:
        key = (before, unit)
        if key not in self._known:
            self._known[key] = self._made(before, unit)
        return self._known[key]

    def covers(self, words: Unit, ending: Ending) -> bool:
        return ending in self.onward(frozenset({()}), words).endings

    def _made(self, before: frozenset[Unit], unit: Unit) -> _Reached:
        still, endings = before, frozenset[Ending]()
        for word in unit:
            longer = [begun + (word,) for begun in still]
            whole = [words for words in longer if (words, Ending.ON) in self._whole]
            still = frozenset(words for words in longer if words in self._begun)
            endings = frozenset(e for e in Ending for words in longer if (words, e) in self._whole)
            if whole:
                still |= {()}
        return _Reached(unit, still, endings)
