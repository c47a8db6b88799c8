"""Names, languages and a time zone, as people type them: `English`, `de, en`, `German, Berlin`."""

from __future__ import annotations

import re

from showtime.settings.kinds import likeliest
from showtime.settings.newstall.values import AnswerError, Names, Speech, Surroundings

_FILLING = {"", "and", "in", "language", "speaks", "the", "time", "with", "zone"}


def names(text: str) -> Names:
    """A stall's name and, after the first comma, its fair's."""
    stall, _, fair = (part.strip() for part in text.partition(","))
    if not stall:
        raise AnswerError("the stall needs a name; write it before the comma")
    return Names(stall, fair)


def speech(text: str, guessed: Speech, around: Surroundings) -> Speech:
    """Languages and a time zone in any order; what is not told is as guessed."""
    found: list[str] = []
    zone = ""
    for part in re.split(r"[,;&+]|\band\b", text):
        for word in _recognisable(part.strip(), around):
            language = _language(word, around)
            if language and language not in found:
                found.append(language)
            elif not language and zone:
                raise AnswerError(f"a stall has one time zone; write {zone} or {word}")
            elif not language:
                zone = _zone(word, around)
    return Speech(tuple(found) or guessed.languages, zone or guessed.zone)


def _recognisable(part: str, around: Surroundings) -> list[str]:
    """The part as a whole, or else its words, of which each must mean something."""
    if _language(part, around) or _zone(part, around):
        return [part]
    words = [word for word in part.split() if word.lower() not in _FILLING]
    for word in words:
        if not _language(word, around) and not _zone(word, around):
            known = [name for all_names in around.languages.values() for name in all_names]
            cities = [zone.rsplit("/", 1)[-1].replace("_", " ") for zone in around.zones]
            meant = likeliest(word, [*known, *around.zones, *cities])
            hint = f"did you mean {meant}?" if meant else _all_languages(around)
            raise AnswerError(f"'{word}' is no language with a phrase bank, and no zone; {hint}")
    return words


def _all_languages(around: Surroundings) -> str:
    first = ", ".join(all_names[0] for all_names in around.languages.values())
    return f"there are {first}; a zone is written as Europe/London"


def _language(word: str, around: Surroundings) -> str:
    wanted = word.casefold()
    for code, all_names in around.languages.items():
        if wanted == code or wanted in (name.casefold() for name in all_names):
            return code
    return ""


def _zone(word: str, around: Surroundings) -> str:
    """A zone by its whole name, or by its last part when no other ends so."""
    wanted = word.strip().casefold().replace(" ", "_")
    whole = [zone for zone in around.zones if zone.casefold() == wanted]
    ending = [zone for zone in around.zones if zone.casefold().endswith(f"/{wanted}")]
    likely = whole or sorted(ending, key=lambda zone: (zone.count("/"), zone))
    return likely[0] if wanted and likely else ""
