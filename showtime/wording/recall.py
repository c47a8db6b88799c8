"""From which templates may a sentence have come that was said before?"""

from __future__ import annotations

from functools import lru_cache

from showtime.wording.bank import Choosable
from showtime.wording.filling import NAMES
from showtime.wording.grammar import Expansion, Reference, Sequence
from showtime.wording.surface import Word, atoms

_LONGEST_FILLING = 24
"""Atoms that a built-in rule may have said; any words will do, for the day has moved on."""

_STOPS = frozenset(".,:!?")
"""Signs that names may have in them, but no words for a time."""


@lru_cache(maxsize=1024)
def templates_of(text: str, choosable: tuple[Choosable, ...]) -> frozenset[int]:
    """The numbers of the templates that may have made the text, whatever its start and names."""
    matching = _Matching(_cut(text))
    return frozenset(each.template.number for each in choosable if matching.whole(each.expansion))


@lru_cache(maxsize=4096)
def _cut(text: str) -> tuple[str, ...]:
    """Atoms without their spaces and capitals."""
    return tuple(atom.strip().casefold() for atom in atoms(text))


class _Matching:
    """Follows expansions through one text; an expansion is tried once at each place."""

    def __init__(self, cut: tuple[str, ...]) -> None:
        self._cut = cut
        self._tried: dict[tuple[int, int], frozenset[int]] = {}

    def whole(self, expansion: Expansion) -> bool:
        return len(self._cut) in self._ends(expansion, 0)

    def _ends(self, expansion: Expansion, start: int) -> frozenset[int]:
        """The places where the expansion may have ended when it began at `start`."""
        if isinstance(expansion, Word):
            cut = _cut(expansion.plain)
            end = start + len(cut)
            return frozenset({end} if self._cut[start:end] == cut else ())
        if isinstance(expansion, Reference):
            return self._filled(expansion.name, start)
        key = (id(expansion), start)
        if key not in self._tried:
            self._tried[key] = self._tried_out(expansion, start)
        return self._tried[key]

    def _filled(self, name: str, start: int) -> frozenset[int]:
        last = min(start + _LONGEST_FILLING, len(self._cut))
        if name not in NAMES:
            stops = (place for place in range(start, last) if self._cut[place] in _STOPS)
            last = next(stops, last)
        return frozenset(range(start + 1, last + 1))

    def _tried_out(self, expansion: Expansion, start: int) -> frozenset[int]:
        if isinstance(expansion, Sequence):
            ends = frozenset({start})
            for part in expansion.parts:
                ends = frozenset().union(*(self._ends(part, each) for each in ends))
                if not ends:
                    break
            return ends
        assert not isinstance(expansion, Word | Reference)
        return frozenset().union(*(self._ends(option, start) for option in expansion.options))
