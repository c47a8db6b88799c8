"""What the built-in rules say in one situation."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from showtime.wording.clock import Clock, minutes_to_go
from showtime.wording.grammar import Filling
from showtime.wording.situation import Situation
from showtime.wording.surface import Word, word

TELLING = frozenset({"time", "minutes"})
"""The built-in rules that tell the start; a template that tells it has one of them, once."""

NAMES = frozenset({"figure", "stall", "piece", "why"})
"""Those that say the keeper's own words."""

BUILT_IN = TELLING | NAMES | {"daypart", "day"}

LONGEST_NAME = 120
"""Characters; what is longer is for reading, not for saying in a noisy hall."""


def filling(clock: Clock, situation: Situation) -> Filling:
    """What each built-in rule may say; nothing where it has nothing that is true and sayable."""
    return _of_the_time(clock, situation) | {
        "figure": _name(clock, situation.signboard.figure),
        "stall": _name(clock, situation.signboard.stall),
        "piece": _name(clock, situation.piece),
        "why": _name(clock, situation.why),
    }


def without_names(filled: Filling) -> Filling:
    return {rule: () if rule in NAMES else words for rule, words in filled.items()}


def unsaid(filled: Filling) -> frozenset[str]:
    """The built-in rules that have nothing to say."""
    return frozenset(rule for rule, words in filled.items() if not words)


def _of_the_time(clock: Clock, situation: Situation) -> dict[str, tuple[Word, ...]]:
    if situation.at is None:
        return {"time": (), "minutes": (), "daypart": (), "day": ()}
    at, now = local(situation, situation.at), local(situation, situation.now)
    to_go = minutes_to_go(at, now)
    return {
        "time": _words(clock.idioms(at.hour, at.minute)),
        "minutes": () if to_go is None else _words(clock.minutes(to_go)),
        "daypart": _words(clock.dayparts(at, now)),
        "day": _words(clock.days(at, now)),
    }


def local(situation: Situation, moment: datetime) -> datetime:
    """The moment on the stall's wall clock."""
    return moment.astimezone(situation.signboard.timezone)


def _words(texts: Iterable[str]) -> tuple[Word, ...]:
    return tuple(word(text) for text in texts)


def _name(clock: Clock, text: str) -> tuple[Word, ...]:
    """The keeper's words as one token. A name that itself tells a time is left unsaid: beside
    the start it could be taken for it."""
    shown = "".join(c if c.isprintable() else " " for c in text)
    shown = " ".join(shown.split()).rstrip(" .,;:")
    if not shown or len(shown) > LONGEST_NAME or clock.told(shown):
        return ()
    return (word(shown, name=True),)
