"""How names and odd words are spelt for the voice, while the screen shows them as they are."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

from showtime.voice.spoken_text import LONGEST, spoken_text

LONGEST_SPELLING = 60
"""Characters for one word. A synthesiser that is given more than 200 phonemes as one word ends the
whole process."""

_PHONEMES = re.compile(r"\[\[([\x20-\x5a\x5c\x5e-\x7e]*)\]\]")
_SOUNDLESS = re.compile(r"[\s'%,=_:|]+")
_POSSESSIVE = r"(?P<s>['\N{RIGHT SINGLE QUOTATION MARK}]s(?!\w))?"
_HISSING = ("s", "z", "S", "Z")
_VOICELESS = ("p", "t", "k", "f", "T")

ReadsBack = Callable[[str], str]
"""Phonemes in [[ ]] to the phonemes that the voice makes of them."""


@dataclass(frozen=True)
class Pronunciation:
    """One language's table: words and names of several words, in any case, to how they are said.

    A spelling in [[ ]] is in the synthesiser's own phonemes. One that it does not know is passed
    over, so that the word is spoken as it is written; `wrong` then has a line about it.
    """

    spellings: Mapping[str, str]
    language: str
    wrong: tuple[str, ...] = ()

    @classmethod
    def of(cls, table: Mapping[str, str], language: str, reads_back: ReadsBack) -> Pronunciation:
        """The table without what the voice cannot say."""
        good, wrong = {}, []
        for word, spelling in table.items():
            said = _said(spelling, reads_back)
            if said and _key(word):
                good[_key(word)] = said
            else:
                wrong.append(
                    f"the voice cannot say {spelling[:30]!r} for {word[:30]!r} ({language}); "
                    "spell it with letters, or give phonemes that the voice knows. Until then it "
                    "is spoken as it is written"
                )
        return cls(good, language, tuple(wrong))

    def spoken(self, line: str) -> tuple[str, bool]:
        """`line` as it is to be spoken, and whether [[ ]] in it stands for phonemes.

        What comes in has no brackets: only the table's own get through. A line that its spellings
        would make too long is spoken as it is written.
        """
        if not self.spellings:
            return line, False
        spoken = self._words.sub(self._replaced, unicodedata.normalize("NFC", line))
        if len(spoken) > 2 * LONGEST:
            return line, False
        return spoken, "[[" in spoken

    @cached_property
    def _words(self) -> re.Pattern[str]:
        """Any of the words, whole; of several that begin alike the longest."""
        longest_first = sorted(self.spellings, key=len, reverse=True)
        either = "|".join(re.escape(word).replace(r"\ ", r"\s+") for word in longest_first)
        return re.compile(rf"(?<!\w)(?P<word>{either})(?!\w){_POSSESSIVE}", re.IGNORECASE)

    def _replaced(self, found: re.Match[str]) -> str:
        said = self.spellings.get(_key(found["word"]), found["word"])
        if not found["s"]:
            return said
        if said.endswith("]]") and self.language.partition("-")[0] == "en":
            return f"{said[:-2]}{_english_s(said[:-2])}]]"
        return said + found["s"]


def _key(word: str) -> str:
    return unicodedata.normalize("NFC", spoken_text(word)).lower()


def _said(spelling: str, reads_back: ReadsBack) -> str:
    """The spelling as the voice is to get it; empty when it can make nothing of it."""
    text = spelling.strip()
    if len(text) > LONGEST_SPELLING:
        return ""
    phonemes = _PHONEMES.fullmatch(text)
    if phonemes is None:
        # Brackets that are not a pair around all of it mean phonemes and are none.
        return "" if "[[" in text or "]]" in text else spoken_text(text)
    wanted, known = _SOUNDLESS.sub("", phonemes[1]), _SOUNDLESS.sub("", reads_back(text))
    # The voice stops at the first phoneme that it does not know; some it writes otherwise.
    return text if wanted and len(known) >= len(wanted) else ""


def _english_s(phonemes: str) -> str:
    """The possessive after these phonemes, which the voice would spell out as a letter."""
    if phonemes.endswith(_HISSING):
        return "Iz"
    return "s" if phonemes.endswith(_VOICELESS) else "z"
