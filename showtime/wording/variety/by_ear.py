"""What is left of words in a noisy hall: close sounds are one, and small words are lost.

Two sentences that are left with the same sounds sound nearly alike. A sentence is brought to its
sounds word by word, and so is a grammar: the number of sentences that differ by ear is then
counted as exactly as that of all sentences, with no need to compare them one by one.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from itertools import groupby, pairwise

from showtime.wording.grammar import (
    NULL,
    Alternatives,
    Expansion,
    Filling,
    Reference,
    Sequence,
    alternatives,
    sequence,
)
from showtime.wording.surface import Word

SMALL = 3
"""Letters of a word that may be lost beside longer ones."""

_ALIKE = {
    "a": "aouw",
    "i": "eiy",
    "p": "bp",
    "t": "dt",
    "k": "cgkq",
    "f": "fv",
    "s": "szx",
    "m": "mn",
    "": "h'’",
}
_SOUNDS = str.maketrans({letter: sound for sound, alike in _ALIKE.items() for letter in alike})
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*|\d+")


def heard(text: str) -> str:
    """The sounds that are left of a text; texts that sound nearly alike are left with the same."""
    return " ".join(filter(None, map(_sound, _WORD.findall(text))))


@lru_cache(maxsize=8192)
def _sound(word: str) -> str:
    """The sounds of one word, for any language in Latin letters: "" for a small one."""
    if len(word) <= SMALL and not word.isdigit():
        return ""
    letters = unicodedata.normalize("NFD", word.casefold())
    bare = "".join(letter for letter in letters if not unicodedata.combining(letter))
    return "".join(sound for sound, _ in groupby(bare.translate(_SOUNDS)))


class ByEar:
    """Brings settled expansions to their sounds; each shared part once."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[Expansion, Expansion]] = {}

    def filling(self, filled: Filling) -> Filling:
        return {rule: tuple(map(_left_of, words)) for rule, words in filled.items()}

    def of(self, expansion: Expansion) -> Expansion:
        """The expansion of what is heard; the argument is kept, so that its id stays its own."""
        if id(expansion) not in self._known:
            self._known[id(expansion)] = (expansion, self._brought(expansion))
        return self._known[id(expansion)][1]

    def _brought(self, expansion: Expansion) -> Expansion:
        if isinstance(expansion, Word):
            left = _left_of(expansion)
            return left if left.plain else NULL
        if isinstance(expansion, Sequence):
            return sequence([self.of(part) for part in expansion.parts])
        if isinstance(expansion, Alternatives):
            weights = [high - low for low, high in pairwise((0.0, *expansion.bounds))]
            return alternatives([self.of(option) for option in expansion.options], weights)
        assert isinstance(expansion, Reference)
        return expansion


def _left_of(word: Word) -> Word:
    sounds = heard(word.plain)
    text = f" {sounds}" if sounds else ""
    return Word(text, text, ends=False, passes=False)


def pairs_alike(texts: Iterable[str], most: int) -> list[tuple[str, str]]:
    """Up to `most` pairs of different texts that sound nearly alike, one of each such sound."""
    first: dict[str, str] = {}
    pairs: dict[str, tuple[str, str]] = {}
    for text in texts:
        sounds = heard(text)
        other = first.setdefault(sounds, text)
        if other != text and sounds not in pairs and len(pairs) < most:
            pairs[sounds] = (other, text)
    return list(pairs.values())
