"""Sentences as rows of clips: which fragments make them, and the silences between."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from showtime.wording import seconds_to_say, stretches

PAUSES_MS = {",": 160, ";": 220, ":": 220}
PAUSE_MS = 320
"""After a sign within a sentence, and after the end of one. (Common practice: a comma is about
half a full stop.)"""

LANGUAGES_APART_MS = 500


@dataclass(frozen=True, slots=True, order=True)
class Piece:
    """One fragment. `text` is as it is written, with the sign that tells how it ends; `recorded`
    is the file of the maker's own voice, empty where the embedded one says it."""

    language: str
    text: str
    recorded: str = ""

    @property
    def seconds(self) -> float:
        """About what it takes to say."""
        return seconds_to_say(self.text)

    @property
    def goes_on(self) -> bool:
        return self.ending == ""

    @property
    def ending(self) -> str:
        return str(stretches(self.text)[0].ending)


Token: TypeAlias = Piece | int
"""A piece, or a silence of so many milliseconds."""

_Key: TypeAlias = tuple[tuple[str, ...], str]


class Pieces:
    """The pieces that sentences of one language may be put together from."""

    def __init__(self, pieces: Iterable[Piece]) -> None:
        self._known: dict[_Key, Piece] = {}
        self._row_of: dict[_Key, tuple[Piece, ...] | None] = {}
        for piece in pieces:
            whole = stretches(piece.text)
            if len(whole) == 1:
                self._known.setdefault((whole[0].words, str(whole[0].ending)), piece)

    def row(self, text: str) -> tuple[Token, ...] | None:
        """The sentence from the fewest pieces; None when it cannot be made from them."""
        row: list[Token] = []
        found = stretches(text)
        for place, stretch in enumerate(found):
            pieces = self._stretch((stretch.words, str(stretch.ending)))
            if pieces is None:
                return None
            row += pieces
            if place < len(found) - 1:
                row.append(PAUSES_MS.get(stretch.sign, PAUSE_MS))
        return tuple(row) or None

    def _stretch(self, key: _Key) -> tuple[Piece, ...] | None:
        if key not in self._row_of:
            self._row_of[key] = fewest(key, self._known)
        return self._row_of[key]


def fewest(key: _Key, known: Mapping[_Key, Piece]) -> tuple[Piece, ...] | None:
    """The fewest pieces that make the words, the longest first among equals; None: none do."""
    words, ending = key
    best: list[tuple[Piece, ...] | None] = [None] * len(words) + [()]
    for begin in range(len(words) - 1, -1, -1):
        for end in range(len(words), begin, -1):
            piece = known.get((words[begin:end], ending if end == len(words) else ""))
            rest, so_far = best[end], best[begin]
            if piece is None or rest is None:
                continue
            if so_far is None or len(rest) + 1 < len(so_far):
                best[begin] = (piece, *rest)
    return best[0]


def pieces_in(row: Iterable[Token]) -> frozenset[Piece]:
    return frozenset(token for token in row if isinstance(token, Piece))


def words_of(row: Iterable[Token]) -> str:
    """The sentence that a row of pieces says, as a listener hears it."""
    return " ".join(token.text for token in row if isinstance(token, Piece))
