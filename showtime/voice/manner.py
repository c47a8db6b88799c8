"""How the embedded voice speaks: which voice, how fast, how high, how loud."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import log2

SLOWEST, FASTEST = 80, 450
"""Words a minute that the synthesiser can speak."""

LOWEST, HIGHEST = 60, 160
"""Percent of a voice's own pitch that the synthesiser can reach."""

_SHARE_OF_OCTAVE = 0.78
"""How far the melody follows the synthesiser's settings: measured over seven voices, whose pitch is
then within a twentieth of what was asked for."""


@dataclass(frozen=True, slots=True)
class Manner:
    """`name`: a voice by id or name (gmw/en-us, en-us), with a variant if wished (en-us+croak);
    empty chooses the clearest of the language. What is out of range counts as the nearest that is
    in it. `pitch` is in percent of the voice's own; `volume` in percent of the largest swing, so
    that 50 is 6 dB softer. `where`: the place of the name in the settings, for complaints.
    """

    name: str = ""
    words_a_minute: int = 170
    pitch: float = 100.0
    volume: float = 100.0
    where: str = field(default="", compare=False)

    @property
    def pace(self) -> int:
        """Words a minute within what can be spoken."""
        return max(SLOWEST, min(FASTEST, self.words_a_minute))

    @property
    def height(self) -> tuple[int, int]:
        """The synthesiser's own numbers for base pitch (0 to 99) and melody (0 to 100); 50 and 50
        are the voice's own. Both move together, else a high voice would drone."""
        factor = max(LOWEST, min(HIGHEST, self.pitch)) / 100
        stretched = factor ** (1 / _SHARE_OF_OCTAVE)
        base = round(50 + 50 * log2(stretched))
        return max(0, min(99, base)), min(100, round(50 * stretched))

    @property
    def gain(self) -> float:
        """What every sample is multiplied with, from 0.01 to 1."""
        return max(1.0, min(100.0, self.volume)) / 100
