"""The bank's table of pronunciations: it may mend how a word sounds, never what is told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from showtime.settings import Node, Scalar
from showtime.wording.clock import FEW_MINUTES, Clock
from showtime.wording.draft import Draft
from showtime.wording.surface import bare

LONGEST = 60
"""Characters in which one word is spelt."""

_WORD = re.compile(r"\w+")
_SOME_DAY = datetime(2027, 2, 13, tzinfo=UTC)


def spellings(
    pairs: list[tuple[Scalar, Node]], clock: Clock | None, draft: Draft
) -> dict[str, str]:
    """The table; what is wrong with it goes into the draft.

    A word that tells the time keeps its letters: what it sounds like could not be read back.
    Phonemes in [[ ]] are let through for it, for the sake of voices that say it badly.
    """
    table: dict[str, str] = {}
    known = dict[str, str]()
    telling = frozenset(map(_row, _phrases(clock))) if clock and pairs else frozenset()
    for key, value in pairs:
        word = key.text
        spelling = value.text if isinstance(value, Scalar) else ""
        fault = _fault(word, spelling, clock, telling)
        other = known.setdefault(word.casefold(), word)
        if other != word:
            draft.wrong(key.where, f"'{other}' is spelt here already; capitals make no difference")
        elif fault:
            draft.wrong(value.where if any(map(str.isalnum, word)) else key.where, fault)
        else:
            table[word] = spelling
    return table


def _fault(word: str, spelling: str, clock: Clock | None, telling: frozenset[str]) -> str:
    """What is wrong with one line of the table; "" when it is right."""
    if not any(map(str.isalnum, word)):
        return "there is no word here; write word: how it is to be spelt to be said"
    if not spelling.strip():
        return f"how '{word}' is said is one text, such as: Rook: ruck"
    if len(spelling) > LONGEST:
        return f"this is more than one word; no more than {LONGEST} characters spell it"
    phonemes = spelling.startswith("[[") and spelling.endswith("]]")
    if phonemes and spelling.count("[") == spelling.count("]") == 2:
        return "" if spelling[2:-2].strip() else "there are no phonemes between [[ and ]]"
    if "[" in spelling or "]" in spelling:
        return "phonemes stand between [[ and ]], and nothing beside them"
    if spelling.casefold().strip() == word.casefold():
        return f"'{word}' is spelt like this anyway"
    if any(_row(word) in phrase for phrase in telling):
        return (
            f"'{word}' is a word of the time and keeps its letters; phonemes in [[ ]] are allowed"
        )
    if clock is not None and clock.told(bare(spelling)):
        return "a listener hears a time here; spell it in another way"
    return ""


def _row(text: str) -> str:
    """The words of a text between blanks, so that one row of words can be found in another."""
    return f" {' '.join(_WORD.findall(text.casefold()))} "


def _phrases(clock: Clock) -> Iterator[str]:
    """All that the clock says of times, minutes and days, in one phrase or another."""
    minutes = range(FEW_MINUTES)
    for hour, minute in [*((hour, 0) for hour in range(24)), *((14, m) for m in minutes)]:
        yield from clock.idioms(hour, minute)
        yield from clock.dayparts(_SOME_DAY.replace(hour=hour, minute=minute), _SOME_DAY)
    for to_go in minutes:
        yield from clock.minutes(to_go)
    for days in range(7):
        yield from clock.days(_SOME_DAY + timedelta(days=days), _SOME_DAY)
