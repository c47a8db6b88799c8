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
    """The part as a whole, or else what its words mean, the longest run of them first."""
    words = part.split()
    found = []
    while words:
        run = _longest_run(words, around)
        if run:
            found.append(" ".join(words[:run]))
        elif words[0].lower() not in _FILLING:
            raise AnswerError(_unknown(words[0], around))
        words = words[max(run, 1) :]
    return found


def _longest_run(words: list[str], around: Surroundings) -> int:
    """How many words at the beginning mean something together; 0: not even the first does."""
    for count in range(min(len(words), 4), 0, -1):
        joined = " ".join(words[:count])
        if _language(joined, around) or _zone(joined, around):
            return count
    return 0


def _unknown(word: str, around: Surroundings) -> str:
    known = [name for names_of_it in around.languages.values() for name in names_of_it]
    cities = [zone.rsplit("/", 1)[-1].replace("_", " ") for zone in around.zones]
    meant = likeliest(word, known) or likeliest(word, [*around.zones, *cities])
    hint = f"did you mean {meant}?" if meant else _all_languages(around)
    return f"'{word[:40]}' is no language with a phrase bank, and no zone; {hint}"


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
