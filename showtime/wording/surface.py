"""How spoken tokens become a written sentence: spaces, clinging punctuation, capitals."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

_CLINGING = re.compile(r"~?[.,:;!?…)\]”]|(?!['’]s )(?:’|'(?:s|ll|re|ve|d|m|t)\b)")
"""What stands close to the word before it: `<time>.` and `<figure>'s` are written as they look.
The Dutch "'s middags" is one token, and stands by itself."""

_UNCAPITALISED = re.compile(r" ?['’]s (?=\w)")
_BOTH_LETTERS = {"ij": "IJ", "éé": "Eé"}
"""Dutch begins a sentence with "'s Middags", with "IJzer", and with "Eén"."""

_SMALL = {capital.casefold(): small for small, capital in _BOTH_LETTERS.items()}

_THIN_SPACE = "\u202f"
"""What a ~ in a bank is in writing: narrow, and no line breaks at it. French has it before ! ? : ;
and writes "venez~!"."""

_CLOSERS = "\"'”’)]"
_OPENER = re.compile(r"([¡¿])(?=\S)")
"""What the word after it clings to. A space stands between them until a sentence is whole, as
between any two tokens, however they were joined in the bank."""

_OPENED = re.compile(r"([¡¿]) ")
_ATOM = re.compile(r"\s?\w+|\s?[^\w\s]")


@dataclass(frozen=True, slots=True, eq=False)
class Word:
    """One token as it is written: in mid-sentence, and where a sentence begins.

    Both forms carry the space before them, if any. `ends`: a new sentence begins after it.
    `passes`: it has no letter or digit, so a capital that is due waits for the next token.
    """

    plain: str
    capital: str
    ends: bool
    passes: bool


def bare(text: str) -> str:
    """The text as it is seen and heard: each accented letter as one, and without the signs that
    are neither, such as zero-width spaces and soft hyphens. They could hide a time from the
    reader, and make two sentences of one."""
    if text.isascii():
        return text
    one = unicodedata.normalize("NFC", text)
    return "".join(letter for letter in one if unicodedata.category(letter) != "Cf")


def small(text: str) -> str:
    """A word in small letters, also one that had its capital from the beginning of a sentence."""
    folded = text.casefold()
    return _SMALL.get(folded[:2], folded[:2]) + folded[2:]


@lru_cache(maxsize=8192)
def word(token: str, *, name: bool = False) -> Word:
    """The token in writing. A `name` comes from the settings: its own dots end no sentence."""
    text = _OPENER.sub(r"\1 ", " ".join(bare(token).split()))
    if not text:
        return Word("", "", ends=False, passes=True)
    if name or not _CLINGING.match(text):
        text = " " + text
    text = text if name else text.replace("~", _THIN_SPACE)
    stripped = text.rstrip(_CLOSERS)
    ends = not name and stripped.endswith((".", "!", "?")) and not stripped.endswith("..")
    return Word(text, _capitalised(text), ends, not any(map(str.isalnum, text)))


def _capitalised(text: str) -> str:
    skipped = _UNCAPITALISED.match(text)
    for place, character in enumerate(text):
        if character.isalnum() and place >= (skipped.end() if skipped else 0):
            both = text[place : place + 2]
            if both in _BOTH_LETTERS:
                return text[:place] + _BOTH_LETTERS[both] + text[place + 2 :]
            upper = character.upper()
            return text[:place] + upper + text[place + 1 :] if len(upper) == 1 else text
    return text


def written(words: Iterable[Word]) -> str:
    """The sentence that these tokens make."""
    pieces, capital = [], True
    for said in words:
        pieces.append(said.capital if capital else said.plain)
        capital = said.ends or (capital and said.passes)
    return joined(pieces)


def joined(pieces: Iterable[str]) -> str:
    """The sentence that these written pieces make."""
    return _OPENED.sub(r"\1", "".join(pieces).lstrip())


def atoms(text: str) -> tuple[str, ...]:
    """The text cut so that every text has one cutting only, however its tokens were joined.

    An atom is a run of letters and digits or a single sign, with the space before it. Two runs
    never meet without a space, since only signs cling; so equal texts have equal atoms, and
    counting rows of atoms counts texts.
    """
    return tuple(_ATOM.findall(text))
