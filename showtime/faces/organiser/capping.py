"""An order for a cap on the day, in words: `cap 2 60` is two performances in any hour."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from showtime.fair import ShowtimeError
from showtime.fair.budgets import Budget, Performances, Sounding

LONGEST = 24 * 60
"""Minutes of a stretch that a cap may be over."""

_FORMS = "such as: cap 2 60 (performances in any 60 minutes), cap sound 10 60, or cap off"


class CapError(ShowtimeError):
    """An order for a cap that means nothing; the message says how to put it."""


def cap_said(words: Sequence[str]) -> tuple[Budget, ...]:
    """The caps that these words after `cap` set; none for `off`. CapError: they mean nothing."""
    if [word.lower() for word in words] == ["off"]:
        return ()
    of_sound = bool(words) and words[0].lower() == "sound"
    most, minutes, *why = [*words[of_sound:], "", ""][: max(2, len(words) - of_sound)]
    count, width = _number(most), _number(minutes)
    because = " ".join(why).strip() or "asked for by the organiser"
    stretch = timedelta(minutes=width)
    if of_sound:
        return (Sounding(timedelta(minutes=count), stretch, because=because),)
    return (Performances(count, stretch, because=because),)


def _number(word: str) -> int:
    if not (word.isascii() and word.isdecimal() and 1 <= int(word) <= LONGEST):
        raise CapError(f"cap: {word or 'nothing'} is no number from 1 to {LONGEST}; {_FORMS}")
    return int(word)
