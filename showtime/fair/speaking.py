"""How the keeper wants the figure to speak."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import PurePath

from showtime.fair.span import Where


class Channels(StrEnum):
    """Where the voice goes: one channel, which a sound card spreads over all its loudspeakers;
    two that are alike; or the one on the left or right, with nothing on the other."""

    ONE = "one"
    BOTH = "both"
    LEFT = "left"
    RIGHT = "right"


class Chime(StrEnum):
    """A short sound before the words."""

    NONE = "none"
    RISING = "rising"
    FALLING = "falling"


@dataclass(frozen=True, slots=True)
class Manner:
    """`voice`: its name, empty for the clearest of the language. `pitch`: percent of that voice's
    own. `volume`: percent of the largest swing."""

    voice: str = ""
    words_a_minute: int = 170
    pitch: float = 100.0
    volume: float = 100.0
    where: Where | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Speaking:
    """The keeper's choices; empty ones are left to the program.

    `voice`, `words_a_minute`, `pitch` and `volume` as in `Manner`, which `by_language` gives for
    languages that are spoken otherwise. `recorded`: the folder of a voice that the maker recorded.
    """

    voice: str = ""
    words_a_minute: int = 170
    device: str = ""
    where: Where | None = field(default=None, compare=False)
    pitch: float = 100.0
    volume: float = 100.0
    channels: Channels = Channels.ONE
    chime: Chime = Chime.NONE
    recorded: PurePath | None = None
    by_language: Mapping[str, Manner] = field(default_factory=dict)
