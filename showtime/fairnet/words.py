"""Topics, and names as safe words in them. PROTOCOL.md lists what is told under which.

A stall writes only below its own `stalls/WORD/`, an organiser only below `organiser/DESK/`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

VERSION = "1"

LONGEST_TOPIC = 600
"""Characters; MQTT itself allows 65,535 bytes."""


def safe_word(name: str) -> str:
    """The name as one level of a topic; no two names give one word.

    Letters and digits of any script stay, a space becomes `-`, and anything else its number in
    hexadecimal between underscores, the underscore and the hyphen themselves too.
    """
    return "".join(_safe(letter) for letter in name) or "_"


def name_of(word: str) -> str:
    """The name that became this word; a word that no name becomes stays as it is."""
    try:
        name = re.sub(
            "_([0-9a-f]{1,6})_", lambda found: chr(int(found[1], 16)), word.replace("-", " ")
        )
    except (ValueError, OverflowError):
        return word
    return name if safe_word(name) == word else word


def _safe(letter: str) -> str:
    if letter == " ":
        return "-"
    return letter if letter.isalnum() else f"_{ord(letter):x}_"


@dataclass(frozen=True, slots=True)
class Topics:
    """The topics of one fair on one day."""

    fair: str
    day: date

    @property
    def root(self) -> str:
        return f"showtime/{VERSION}/{safe_word(self.fair)}/{self.day.isoformat()}"

    def stall(self, word: str, *rest: str) -> str:
        return "/".join((self.root, "stalls", word, *rest))

    def organiser(self, desk: str, *rest: str) -> str:
        return "/".join((self.root, "organiser", desk, *rest))

    def told_by(self, topic: str) -> tuple[str, str, tuple[str, ...]] | None:
        """`stalls` or `organiser`, who speaks, and about what; None for no topic of this day."""
        if len(topic) > LONGEST_TOPIC or not topic.startswith(f"{self.root}/"):
            return None
        side, *rest = topic[len(self.root) + 1 :].split("/")
        if side not in ("stalls", "organiser") or len(rest) < 2 or not all(rest):
            return None
        return side, rest[0], tuple(rest[1:])


def rights(fair: str, word: str) -> str:
    """Where a stall may write, on any day of the fair, as a filter of MQTT."""
    return f"showtime/{VERSION}/{safe_word(fair)}/+/stalls/{word}/#"


def everything(fair: str) -> str:
    """All that is told at a fair, as a filter of MQTT."""
    return f"showtime/{VERSION}/{safe_word(fair)}/#"


def organisers(fair: str) -> str:
    """Where organisers may write, as a filter of MQTT."""
    return f"showtime/{VERSION}/{safe_word(fair)}/+/organiser/#"
