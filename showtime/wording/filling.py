"""What the built-in rules say in one situation."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from functools import lru_cache

from showtime.wording.clock import Clock, Told, minutes_to_go
from showtime.wording.grammar import Filling
from showtime.wording.situation import Bar, Mood, Situation
from showtime.wording.surface import Word, bare, word

BY_THE_CLOCK = frozenset({"time", "at_time", "it_is_time"})
IN_MINUTES = frozenset({"minutes", "in_minutes"})
TELLING = BY_THE_CLOCK | IN_MINUTES
"""The built-in rules that tell the start; a template that tells it has one of them, once."""

OF_A_START = TELLING | {"daypart", "day"}
"""Those that have nothing to say where no start is told."""

NAMES = frozenset({"figure", "stall", "piece", "why"})
"""Those that say the keeper's own words."""

MOODS = frozenset(map(str, (*Mood, *Bar)))
"""Those that say nothing, and can be passed only while the situation has that mood, or that bar:
<NULL> or <VOID>, as the grammar calls it."""

BUILT_IN = OF_A_START | NAMES | MOODS

_PASSED = (Word("", "", ends=False, passes=True),)

LONGEST_NAME = 120
"""Characters; what is longer is for reading, not for saying in a noisy hall."""


def filling(clock: Clock, situation: Situation) -> Filling:
    """What each built-in rule may say; nothing where it has nothing that is true and sayable."""
    return _of_the_time(clock, situation) | {
        "figure": _name(clock.told, situation.signboard.figure),
        "stall": _name(clock.told, situation.signboard.stall),
        "piece": _name(clock.told, situation.piece),
        "why": _name(clock.told, situation.why),
        **{str(mood): _PASSED if mood in situation.moods else () for mood in Mood},
        **{str(bar): _PASSED if bar in (situation.bars or {Bar.OTHER}) else () for bar in Bar},
    }


def without_names(filled: Filling) -> Filling:
    return {rule: () if rule in NAMES else words for rule, words in filled.items()}


def unsaid(filled: Filling) -> frozenset[str]:
    """The built-in rules that cannot be said: they have no words, or are another mood's."""
    return frozenset(rule for rule, words in filled.items() if not words)


def _of_the_time(clock: Clock, situation: Situation) -> dict[str, tuple[Word, ...]]:
    if situation.at is None:
        return dict.fromkeys(OF_A_START, ())
    at, now = local(situation, situation.at), local(situation, situation.now)
    to_go = minutes_to_go(at, now)
    return {
        "time": _words(clock.idioms(at.hour, at.minute)),
        "at_time": _words(clock.at(at.hour, at.minute)),
        "it_is_time": _words(clock.it_is(at.hour, at.minute)),
        "minutes": () if to_go is None else _words(clock.minutes(to_go)),
        "in_minutes": () if to_go is None else _words(clock.within(to_go)),
        "daypart": _words(clock.dayparts(at, now)),
        "day": _words(clock.days(at, now)),
    }


def local(situation: Situation, moment: datetime) -> datetime:
    """The moment on the stall's wall clock."""
    return moment.astimezone(situation.signboard.timezone)


def _words(texts: Iterable[str]) -> tuple[Word, ...]:
    return tuple(word(text) for text in texts)


@lru_cache(maxsize=256)
def _name(told: Callable[[str], tuple[Told, ...]], text: str) -> tuple[Word, ...]:
    """The keeper's words as one token. A name that itself tells a time is left unsaid: beside
    the start it could be taken for it."""
    shown = "".join(c if c.isprintable() else " " for c in bare(text))
    shown = " ".join(shown.split()).rstrip(" .,;:")
    if not shown or len(shown) > LONGEST_NAME or told(shown):
        return ()
    return (word(shown, name=True),)
