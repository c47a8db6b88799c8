"""(Situation, time) -> Sentence: clock idioms, phrase banks, choice without repeats.

Owns every word that the figure says. Refuses a phrase bank that could tell a wrong time, tell it
twice, or fall silent. Always holds: a sentence tells the start that it was asked to tell, once,
and reads back as it; or it tells no time at all. Pure: randomness and what was said before are
handed in.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from showtime.wording.bank import Bank
from showtime.wording.choice import choose
from showtime.wording.clock import Clock, Told, clock, minutes_to_go, times_told
from showtime.wording.errors import WordingError
from showtime.wording.languages import LANGUAGES
from showtime.wording.reading import parse_bank
from showtime.wording.situation import Kind, Mood, Sentence, Situation

if TYPE_CHECKING:
    from showtime.wording.variety import Audit, Varied, audit

_FOR_THE_MAKER = ("Audit", "Varied", "audit")
"""What is imported only when asked for: an answer needs no yardsticks."""

__all__ = [
    "Audit",
    "Bank",
    "Clock",
    "LANGUAGES",
    "Kind",
    "Mood",
    "Sentence",
    "Situation",
    "Told",
    "Varied",
    "WordingError",
    "audit",
    "choose",
    "clock",
    "minutes_to_go",
    "parse_bank",
    "times_told",
]


def __getattr__(name: str) -> object:
    if name not in _FOR_THE_MAKER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.variety"), name)
