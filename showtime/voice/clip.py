"""Sound as it goes to the player."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Clip:
    """16-bit signed little-endian mono samples at `rate` samples a second."""

    samples: bytes
    rate: int

    @property
    def seconds(self) -> float:
        return len(self.samples) / 2 / self.rate
