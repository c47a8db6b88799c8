"""Words that a voice may say wrong: it reads letters, and these are not written as they sound."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from showtime.fair import Where
from showtime.wording.bank import Bank
from showtime.wording.draft import Source
from showtime.wording.grammar import Alternatives, Expansion, Sequence
from showtime.wording.surface import Word

LETTERS = {
    "cy": "áàâäéèêëíìîïóòôöúùûüẃẁŵẅýỳŷÿ",
    "de": "äöüß",
    "en": "",
    "es": "áéíñóúü",
    "fr": "àâæçéèêëîïôœùûüÿ",
    "it": "àéèìíîóòúù",
    "nl": "áäéëèíïóöúü",
}
"""What each language writes beside a to z: CLDR's main exemplar characters (from memory). One
that is not named here: whatever letters stand in Latin script."""

_SPOKEN_SIGNS = set(" .,:;?!¿¡«»“”„‚‘’'\"-–—…\u00a0\u202f~()")
_TOKEN = re.compile(r"[^\s.,:;?!¿¡«»“”„\"()…~]+(?:\.[^\s.,:;?!]+)*\.?")


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A word, why the voice may say it wrong, and where it first stands (None: in the settings)."""

    word: str
    why: str
    where: Where | None


def doubtful(bank: Bank, names: Iterable[str] = ()) -> list[Doubtful]:
    """Each doubtful word of the bank's templates and rules and of `names` once; those that the
    bank's `pronounce` spells for the voice are left out."""
    spelt = {word.casefold() for word in bank.pronounced}
    found: dict[str, Doubtful] = {}
    for source, text in [*_spoken(bank.sources), *((None, name) for name in names)]:
        for word in _TOKEN.findall(text):
            bare = word.rstrip(".")
            known = {word.casefold(), bare.casefold(), *bare.casefold().split("-")}
            why = _doubt(word, bank.language)
            if why and bare not in found and not known & spelt:
                found[bare] = Doubtful(bare, why, _place(source, bare))
    return list(found.values())


def _spoken(sources: Iterable[Source]) -> Iterator[tuple[Source, str]]:
    for source in sources:
        if source.expansion is not None:
            for text in _words(source.expansion):
                yield source, text


def _words(expansion: Expansion) -> Iterator[str]:
    if isinstance(expansion, Word):
        yield expansion.plain
    elif isinstance(expansion, Sequence | Alternatives):
        inner = expansion.parts if isinstance(expansion, Sequence) else expansion.options
        for each in inner:
            yield from _words(each)


def _place(source: Source | None, word: str) -> Where | None:
    if source is None:
        return None
    text = re.sub(r"<[^<>]*>", lambda rule: " " * len(rule[0]), source.scalar.text)
    found = re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text)
    return source.place(found.start() if found else 0)


def _doubt(token: str, language: str) -> str:
    """Why the voice may say the token wrong; "" when it looks like any word."""
    word = token.rstrip(".")
    strange = [letter for letter in word if letter.isalpha() and not _usual(letter, language)]
    if strange:
        return f"{strange[0]!r} is no letter of this language"
    if any(letter.isdigit() for letter in word):
        return "digits are read in the voice's own way; write the number as words"
    signs = [letter for letter in word if not letter.isalnum() and letter not in _SPOKEN_SIGNS]
    signs = [sign for sign in signs if not unicodedata.combining(sign)]
    if signs:
        return f"{_named(signs[0])} may be read out or passed over"
    letters = [letter for letter in word if letter.isalpha()]
    if len(letters) > 1 and all(letter.isupper() for letter in letters):
        return "capitals alone may be spelt out letter by letter"
    if any(letter.isupper() for letter in word[1:] if letter.isalpha()) and "-" not in word:
        return "a capital within a word may break it in two"
    if "." in word:
        return "an abbreviation; write it as it is said"
    return _unsayable(word, language)


def _unsayable(word: str, language: str) -> str:
    bare = unicodedata.normalize("NFD", word.casefold())
    vowels = "aeiouyæœø" + "w" * (language == "cy")
    if len(word) > 1 and word.isalpha() and not any(letter in vowels for letter in bare):
        return "without a vowel it may be spelt out, or is an abbreviation"
    if re.search(r"([^\W\d_])\1\1", word):
        return "the same letter three times may be read one by one"
    return ""


def _usual(letter: str, language: str) -> bool:
    small = letter.casefold() if letter != "ß" else letter
    if language in LETTERS:
        return small in "abcdefghijklmnopqrstuvwxyz" or small in LETTERS[language]
    return "LATIN" in unicodedata.name(letter, "")


def _named(sign: str) -> str:
    return f"the sign {sign}" if sign.isprintable() else f"an unseen sign (U+{ord(sign):04X})"
