"""What is known of a template before it is said: how often it tells the start, its length."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from showtime.wording.filling import MOODS, TELLING
from showtime.wording.grammar import Alternatives, Expansion, Reference, Sequence
from showtime.wording.surface import Word

TWICE = 2
_TOLD_WORDS = 3
"""Words counted for a built-in rule: "twenty-five to three", "The Tin Orchard"."""


@dataclass(frozen=True, slots=True)
class Nature:
    """`tells`: the numbers of times (0, 1, or 2 for more) that its paths tell the start; `again`:
    the offset of the reference that tells it once more, None when that stands in another rule.
    Words: least and most on any path.
    """

    tells: frozenset[int]
    least: int
    most: int
    again: int | None = None


_SILENT = frozenset({0})


@cache
def _of_words(number: int) -> Nature:
    return Nature(_SILENT, number, number)


class Natures:
    """The nature of expansions under a bank's rules, which must be free of circles."""

    def __init__(self, rules: Mapping[str, Expansion]) -> None:
        self._rules = rules
        self._known: dict[str, Nature] = {}

    def of(self, expansion: Expansion) -> Nature:
        if isinstance(expansion, Word):
            return _of_words(expansion.plain.count(" "))
        if isinstance(expansion, Reference):
            return self._reference(expansion)
        if isinstance(expansion, Sequence):
            return self._sequence(expansion)
        return self._alternatives(expansion)

    def _reference(self, reference: Reference) -> Nature:
        name = reference.name
        if name not in self._rules:
            if name in MOODS:
                return _of_words(0)
            return Nature(frozenset({int(name in TELLING)}), 1, _TOLD_WORDS)
        if name not in self._known:
            known = self.of(self._rules[name])
            self._known[name] = Nature(known.tells, known.least, known.most)
        return self._known[name]

    def _sequence(self, expansion: Sequence) -> Nature:
        tells, least, most, again = _SILENT, 0, 0, None
        for part in expansion.parts:
            nature = self.of(part)
            if nature.tells == _SILENT:
                least, most = least + nature.least, most + nature.most
                continue
            sums = frozenset(min(a + b, TWICE) for a in tells for b in nature.tells)
            again = nature.again if again is None else again
            if again is None and TWICE in sums and TWICE not in tells | nature.tells:
                again = self._first_telling(part)
            tells, least, most = sums, least + nature.least, most + nature.most
        return Nature(tells, least, most, again)

    def _alternatives(self, expansion: Alternatives) -> Nature:
        natures = [self.of(option) for option in expansion.options]
        if not natures:
            return Nature(frozenset(), 1, 1)
        return Nature(
            frozenset().union(*(nature.tells for nature in natures)),
            min(nature.least for nature in natures),
            max(nature.most for nature in natures),
            next((nature.again for nature in natures if nature.again is not None), None),
        )

    def _first_telling(self, expansion: Expansion) -> int | None:
        if isinstance(expansion, Reference):
            return expansion.place if self._reference(expansion).tells != _SILENT else None
        parts: tuple[Expansion, ...] = ()
        if isinstance(expansion, Sequence):
            parts = expansion.parts
        elif isinstance(expansion, Alternatives):
            parts = expansion.options
        found = (self._first_telling(part) for part in parts)
        return next((place for place in found if place is not None), None)
