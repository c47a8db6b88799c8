"""What the sound card pulls: the current clip, silence otherwise, and never a click.

A clip that is stopped or replaced fades out over 5 ms while its successor fades in, so neither
the jump to zero nor the sum of the two can be heard.
"""

from __future__ import annotations

import sys
import threading
from array import array

from showtime.voice.playback import Ending, Playback
from showtime.voice.samples import added, ramped, scaled

FADE_S = 0.005


class Mix:
    """Samples for one stream at `rate`; `pull` belongs to the sound card's thread."""

    def __init__(self, rate: int) -> None:
        self.rate = rate
        self._fade = round(FADE_S * rate)
        self._lock = threading.Lock()
        self._playback: Playback | None = None
        self._samples: array[int] = array("h")
        self._at = 0
        self._fade_in = 0
        self._tail: array[int] = array("h")
        self._pulls = 0

    @property
    def busy(self) -> bool:
        """True while a clip waits or sounds."""
        return self._playback is not None

    @property
    def pulls(self) -> int:
        """How often the card has asked for samples: it stands still when the card does."""
        return self._pulls

    def put(self, playback: Playback, samples: array[int]) -> None:
        """Play `samples`, at `rate`, from the next pull on; what sounds now is cut short."""
        with self._lock:
            fading = self._cut(Ending.CUT)
            self._playback, self._samples, self._at = playback, samples, 0
            self._fade_in = self._fade if fading else 0

    def stop(self, ending: Ending = Ending.CUT) -> None:
        """Fade out what sounds now; its playback ends as `ending`."""
        with self._lock:
            self._cut(ending)

    def pull(self, frames: int) -> bytes:
        """The next samples, at most `frames` of them; what is missing is silence."""
        with self._lock:
            self._pulls += 1
            sound = self._next(frames)
            if self._tail:
                sound = added(sound, self._tail[:frames])
                self._tail = self._tail[frames:]
        if sys.byteorder == "big":
            sound.byteswap()
        return sound.tobytes()

    def _next(self, frames: int) -> array[int]:
        """The current clip's next samples at its gain, marking where it starts and ends."""
        playback = self._playback
        if playback is None:
            return array("h")
        sound = self._piece(frames)
        if sound:
            playback.start()
        else:
            # One pull late, so that the last samples have left when the end is told.
            self._playback = None
            playback.end(Ending.HEARD)
        return sound

    def _piece(self, frames: int) -> array[int]:
        """The current clip's next samples, rising where it takes another's place."""
        begin = self._at
        rising = min(max(self._fade_in - begin, 0), frames)
        piece = self._taken(rising)
        if rising:
            piece = ramped(piece, begin / self._fade_in, self._at / self._fade_in)
        return piece + self._taken(frames - rising)

    def _taken(self, frames: int) -> array[int]:
        """The current clip's next samples at its gain."""
        taken = self._samples[self._at : self._at + frames]
        self._at += len(taken)
        return scaled(taken, self._playback.gain) if self._playback else taken

    def _cut(self, ending: Ending) -> bool:
        """End the current clip early; True when something fades out from now on."""
        playback = self._playback
        if playback is not None and playback.started:
            reached = min(self._at / self._fade_in, 1.0) if self._fade_in else 1.0
            self._tail = added(ramped(self._taken(self._fade), reached, 0.0), self._tail)
        self._playback = None
        if playback is not None:
            playback.end(ending)
        return bool(self._tail)
