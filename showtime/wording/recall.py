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

_NOWHERE = frozenset[int]()


@lru_cache(maxsize=1024)
def templates_of(text: str, choosable: tuple[Choosable, ...]) -> frozenset[int]:
    """The numbers of the templates that may have made the text, whatever its start and names."""
    matching = _Matching(_cut(text), _openings_of(choosable))
    return frozenset(each.template.number for each in choosable if matching.whole(each.expansion))


@lru_cache(maxsize=4096)
def _cut(text: str) -> tuple[str, ...]:
    """Atoms without their spaces and capitals."""
    return tuple(atom.strip().casefold() for atom in atoms(text))


class _Openings:
    """With which atoms an expansion may begin; most are so ruled out without being followed."""

    def __init__(self, choosable: tuple[Choosable, ...]) -> None:
        self._choosable = choosable  # kept, so that the ids of its expansions stay theirs
        self._known: dict[int, tuple[frozenset[str], bool]] = {}

    def fits(self, expansion: Expansion, atom: str | None) -> bool:
        first, open_to_all = self.of(expansion)
        return open_to_all or atom in first

    def of(self, expansion: Expansion) -> tuple[frozenset[str], bool]:
        """Its first atoms, and whether it may begin with any other too, or say nothing."""
        if id(expansion) not in self._known:
            self._known[id(expansion)] = self._first(expansion)
        return self._known[id(expansion)]

    def _first(self, expansion: Expansion) -> tuple[frozenset[str], bool]:
        if isinstance(expansion, Word):
            cut = _cut(expansion.plain)
            return frozenset(cut[:1]), not cut
        if isinstance(expansion, Reference):
            return frozenset(), True
        if isinstance(expansion, Sequence):
            return self.of(expansion.parts[0]) if expansion.parts else (frozenset(), True)
        options = [self.of(option) for option in expansion.options]
        return frozenset().union(*(first for first, _ in options)), any(free for _, free in options)


@lru_cache(maxsize=64)
def _openings_of(choosable: tuple[Choosable, ...]) -> _Openings:
    return _Openings(choosable)


class _Matching:
    """Follows expansions through one text; an expansion is tried once at each place."""

    def __init__(self, cut: tuple[str, ...], openings: _Openings) -> None:
        self._cut = cut
        self._openings = openings
        self._tried: dict[tuple[int, int], frozenset[int]] = {}

    def whole(self, expansion: Expansion) -> bool:
        return len(self._cut) in self._ends(expansion, 0)

    def _ends(self, expansion: Expansion, start: int) -> frozenset[int]:
        """The places where the expansion may have ended when it began at `start`."""
        if isinstance(expansion, Word):
            cut = _cut(expansion.plain)
            end = start + len(cut)
            return frozenset({end}) if self._cut[start:end] == cut else _NOWHERE
        if isinstance(expansion, Reference):
            return self._filled(expansion.name, start)
        key = (id(expansion), start)
        if key not in self._tried:
            atom = self._cut[start] if start < len(self._cut) else None
            fits = self._openings.fits(expansion, atom)
            self._tried[key] = self._tried_out(expansion, start) if fits else _NOWHERE
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
