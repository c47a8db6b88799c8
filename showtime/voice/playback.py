"""One clip on its way through a player."""

from __future__ import annotations

import threading
from collections.abc import Callable
from enum import StrEnum
from itertools import count
from math import ceil

from showtime.voice.clip import Clip

LOOK_S = 0.01


class Ending(StrEnum):
    """How a playback ended."""

    HEARD = "heard"
    """Played to its last sample."""
    CUT = "cut"
    """Stopped, or replaced by a later clip."""
    UNHEARD = "unheard"
    """No sound card took it, or not all of it."""


class Playback:
    """What `play` gives back at once; it tells when the clip starts and how it ended.

    Any thread may ask. `gain` is what was asked for, from 0 to 1.
    """

    def __init__(self, clip: Clip, gain: float, look: Callable[[], object] | None = None) -> None:
        if not 0 <= gain <= 1:
            raise ValueError(f"a gain is between 0 and 1, not {gain}")
        self.clip = clip
        self.gain = gain
        self._look = look
        self._started = False
        self._start_or_end = threading.Event()
        self._ended = threading.Event()
        self._ending: Ending | None = None

    @property
    def started(self) -> bool:
        """True once the first sample was handed to the sound card."""
        return self._started

    @property
    def ending(self) -> Ending | None:
        """None while the clip waits or sounds."""
        if self._look is not None:
            self._look()
        return self._ending

    def wait_until_started(self, seconds: float | None = None) -> bool:
        """Wait for the first sample; False when the clip ended before it or the time ran out."""
        self._start_or_end.wait(seconds)
        return self._started

    def wait_until_ended(self, seconds: float | None = None) -> Ending | None:
        """Wait for the end; None when the time ran out first."""
        if self._look is None:
            self._ended.wait(seconds)
            return self._ending
        # Nothing tells when a clock without a thread reaches the end: look again and again.
        looks = count() if seconds is None else range(ceil(seconds / LOOK_S))
        for _ in looks:
            if self.ending is not None or self._ended.wait(LOOK_S):
                break
        return self.ending

    def start(self) -> None:
        """For players: the first sample is on its way."""
        self._started = True
        self._start_or_end.set()

    def end(self, ending: Ending) -> None:
        """For players: the last sample is on its way, or none will be; later calls are ignored."""
        if self._ending is None:
            self._ending = ending
            self._ended.set()
            self._start_or_end.set()
