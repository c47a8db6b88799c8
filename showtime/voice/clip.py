"""Sound as it goes to the player."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Clip:
    """16-bit signed little-endian mono samples at `rate` samples a second."""

    samples: bytes
    rate: int

    def __post_init__(self) -> None:
        if len(self.samples) % 2:
            raise ValueError("a clip holds whole 16-bit samples, so an even number of bytes")
        if self.rate <= 0:
            raise ValueError(f"a clip has a positive number of samples a second, not {self.rate}")

    @property
    def seconds(self) -> float:
        return len(self.samples) / 2 / self.rate
