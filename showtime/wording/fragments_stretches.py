"""A sentence as somebody reads it out: stretches of words between the signs where one pauses."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from showtime.wording.surface import small


class Ending(StrEnum):
    """How the voice leaves the last word: it goes on without a pause, it comes to rest before
    one, or it asks.

    Recorded apart, because a word said before a pause is longer and lower, and an answer put
    together with the wrong one sounds cut off. A comma's rest and a full stop's are one: apart
    they would cost the demo's English bank 37 recordings more, for a difference that the pause
    itself makes heard.
    """

    ON = ""
    RESTS = "."
    ASKS = "?"


@dataclass(frozen=True, slots=True)
class Stretch:
    """Words that are said in one breath, in small letters, and the sign after them.

    `sign` is one of , ; : . ! ? … or empty where a text just goes on.
    """

    words: tuple[str, ...]
    sign: str = ""

    @property
    def ending(self) -> Ending:
        return ending_of(self.sign)


SIGN = re.compile(r"([,;:.!?…])[,;:.!?…]*[\"'”’»)\]]*(?=\s|$)")
NOT_HEARD = '"“”„«»()[]¿¡–—,;:.!?…'
"""Signs that are seen and not heard; a dash between words is a comma's pause."""

_DASH = re.compile(r"\s[-–—]+\s")


def ending_of(sign: str) -> Ending:
    """How the voice leaves the word before that sign."""
    if sign == "?":
        return Ending.ASKS
    return Ending.RESTS if sign else Ending.ON


def stretches(text: str) -> tuple[Stretch, ...]:
    """The text's stretches, in order. Only a sign before a space or at the end parts them, so
    that "5.30" stays whole; of several in a row the first counts."""
    found, begun = list[Stretch](), 0
    plain = _DASH.sub(", ", text)
    for match in SIGN.finditer(plain):
        words = spoken_words(plain[begun : match.start()])
        begun = match.end()
        if words:
            found.append(Stretch(words, match[1]))
    rest = spoken_words(plain[begun:])
    if rest:
        found.append(Stretch(rest))
    return tuple(found)


def spoken_words(text: str) -> tuple[str, ...]:
    """The words of a text without signs, as they are compared: in small letters."""
    stripped = (small(word.strip(NOT_HEARD)) for word in text.split())
    return tuple(word for word in stripped if any(map(str.isalnum, word)))
