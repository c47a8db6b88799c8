"""What every player of clips does, and how softly a figure may speak."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from showtime.voice.clip import Clip
from showtime.voice.playback import Playback

SOFTLY = 0.35
"""The gain for an answer in a quiet interval: about 9 dB less than full volume."""

Told = Callable[[str], None]
"""Takes one line for the keeper."""


def told_nobody(_line: str) -> None:
    """For callers that look at `trouble` themselves."""


class Player(Protocol):
    """Plays one clip at a time. Nothing here waits for sound, and no trouble of a card is raised:
    the day goes on silently, the playback says that it was not heard, and `trouble` says why."""

    @property
    def busy(self) -> bool:
        """True while a clip waits or sounds."""

    @property
    def trouble(self) -> str:
        """Why no sound comes out and what to do, in one line; empty when it does."""

    def play(self, clip: Clip, *, gain: float = 1.0) -> Playback:
        """Play `clip` from now on, in place of what sounds. ValueError: a gain not from 0 to 1."""

    def stop(self) -> None:
        """Fade out what sounds."""

    def close(self) -> None:
        """Stop and let go of the sound card; whatever is played later stays unheard."""
