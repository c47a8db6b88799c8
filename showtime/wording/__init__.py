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
from showtime.wording.situation import Bar, Kind, Mood, Sentence, Situation

if TYPE_CHECKING:
    from showtime.wording.fragments import (
        Fragment,
        Missing,
        Script,
        missing_from,
        script_of,
        seconds_to_say,
    )
    from showtime.wording.fragments_said import situations_of
    from showtime.wording.fragments_stretches import stretches
    from showtime.wording.variety import Audit, Varied, audit

_FOR_THE_MAKER = {
    "Audit": "variety",
    "Fragment": "fragments",
    "Missing": "fragments",
    "Script": "fragments",
    "Varied": "variety",
    "audit": "variety",
    "missing_from": "fragments",
    "script_of": "fragments",
    "seconds_to_say": "fragments",
    "situations_of": "fragments_said",
    "stretches": "fragments_stretches",
}
"""What is imported only when asked for: an answer needs no yardsticks."""

__all__ = [
    "Audit",
    "Bank",
    "Bar",
    "Clock",
    "Fragment",
    "LANGUAGES",
    "Kind",
    "Missing",
    "Mood",
    "Script",
    "Sentence",
    "Situation",
    "Told",
    "Varied",
    "WordingError",
    "audit",
    "choose",
    "clock",
    "minutes_to_go",
    "missing_from",
    "parse_bank",
    "script_of",
    "seconds_to_say",
    "situations_of",
    "stretches",
    "times_told",
]


def __getattr__(name: str) -> object:
    if name not in _FOR_THE_MAKER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_FOR_THE_MAKER[name]}"), name)
