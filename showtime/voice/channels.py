"""One channel of sound laid out for the loudspeakers."""

from __future__ import annotations

from array import array
from enum import StrEnum


class Channels(StrEnum):
    """`ONE` channel, which a sound card spreads over all its loudspeakers; two that are alike
    (`BOTH`); or sound on the `LEFT` or `RIGHT` alone, where the other loudspeaker has another use.
    """

    ONE = "one"
    BOTH = "both"
    LEFT = "left"
    RIGHT = "right"

    @property
    def width(self) -> int:
        """Samples in each frame."""
        return 1 if self is Channels.ONE else 2

    def laid_out(self, samples: bytes) -> bytes:
        """16-bit samples of one channel as frames of all channels, the left one first."""
        if self is Channels.ONE:
            return samples
        # The byte order does not matter: samples are moved, not reckoned with.
        mono = array("h", samples)
        frames = array("h", bytes(4 * len(mono)))
        if self is not Channels.RIGHT:
            frames[0::2] = mono
        if self is not Channels.LEFT:
            frames[1::2] = mono
        return frames.tobytes()
