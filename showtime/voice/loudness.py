"""How loud a sound is to the ear: ITU-R BS.1770-4, one channel, in LUFS.

Reckoned here, and held against an outside library by tests, because no library that does it fits:
one needs scipy, one numpy (15 MB of a live day, and a wait at the desk), one is not built for
Python 3.13. Two filters and a gate cost about 3 ms for a second of speech.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import log10, pi, tan

SILENCE = float("-inf")
"""The loudness of what the gate leaves nothing of."""

_STEP_S = 0.1
_STEPS_A_BLOCK = 4
"""Blocks of 400 ms that overlap by three quarters."""

_OFFSET_DB = -0.691
_ABSOLUTE_GATE = -70.0
_RELATIVE_GATE = -10.0


@dataclass(frozen=True, slots=True)
class Biquad:
    """A filter of second order; `a0` is 1."""

    b0: float
    b1: float
    b2: float
    a1: float
    a2: float


@cache
def k_weighting(rate: int) -> tuple[Biquad, Biquad]:
    """The two filters before the measurement: the head's shelf, then the high-pass.

    BS.1770-4 tables them for 48,000 samples a second alone. Other rates come from the analogue
    filters that those tables are the bilinear transforms of (annex 1 leaves this to the reader).
    """
    return _shelf(rate), _high_pass(rate)


def _shelf(rate: int) -> Biquad:
    frequency, quality, gain_db = 1681.974450955533, 0.7071752369554196, 3.999843853973347
    k = tan(pi * frequency / rate)
    high = 10 ** (gain_db / 20)
    band = high**0.4996667741545416
    a0 = 1 + k / quality + k * k
    return Biquad(
        (high + band * k / quality + k * k) / a0,
        2 * (k * k - high) / a0,
        (high - band * k / quality + k * k) / a0,
        2 * (k * k - 1) / a0,
        (1 - k / quality + k * k) / a0,
    )


def _high_pass(rate: int) -> Biquad:
    frequency, quality = 38.13547087602444, 0.5003270373238773
    k = tan(pi * frequency / rate)
    a0 = 1 + k / quality + k * k
    return Biquad(1.0, -2.0, 1.0, 2 * (k * k - 1) / a0, (1 - k / quality + k * k) / a0)


def loudness(samples: Sequence[int], rate: int) -> float:
    """LUFS of 16-bit samples, gated; SILENCE when nothing is louder than -70 LUFS."""
    return Blocks.of(samples, rate).loudness()


@dataclass(frozen=True, slots=True)
class Blocks:
    """The energy of weighted samples in steps of `step` samples; four of them are a block.

    A sound shorter than a block counts as followed by silence. What is left at the end after the
    last whole step is not measured.
    """

    energies: tuple[float, ...]
    step: int

    @classmethod
    def of(cls, samples: Sequence[int], rate: int) -> Blocks:
        step = max(round(_STEP_S * rate), 1)
        if len(samples) >= _STEPS_A_BLOCK * step:
            samples = samples[: len(samples) // step * step]
        energies = _energies(samples, rate, step)
        silence = [0.0] * (_STEPS_A_BLOCK - len(energies))
        return cls((*energies, *silence), step)

    def loudness(self) -> float:
        """LUFS, gated; SILENCE when nothing is left."""
        return _gated(
            [
                sum(self.energies[first : first + _STEPS_A_BLOCK]) / (_STEPS_A_BLOCK * self.step)
                for first in range(len(self.energies) - _STEPS_A_BLOCK + 1)
            ]
        )

    def under(self, gains: Sequence[float], strengths: Sequence[float], every: int) -> Blocks:
        """About what a gain, one for `every` so many samples, makes of these blocks.

        `strengths`, the energies of the same stretches before weighting, tell how much of a
        step's energy is in each.
        """
        energies = []
        for number, energy in enumerate(self.energies):
            begin = number * self.step // every
            there = slice(begin, max((number + 1) * self.step // every, begin + 1))
            before = sum(strengths[there])
            after = sum(
                strength * gain * gain
                for strength, gain in zip(strengths[there], gains[there], strict=False)
            )
            energies.append(energy * after / before if before else energy)
        return Blocks(tuple(energies), self.step)


def _energies(samples: Sequence[int], rate: int, step: int) -> list[float]:
    """The sum of the squares of the weighted samples (full scale is 1), step after step."""
    shelf, high_pass = k_weighting(rate)
    b0, b1, b2, a1, a2 = shelf.b0, shelf.b1, shelf.b2, shelf.a1, shelf.a2
    c1, c2 = high_pass.a1, high_pass.a2
    # Both filters in one loop, in transposed direct form; their states go on from step to step.
    u1 = u2 = v1 = v2 = 0.0
    found = []
    for first in range(0, len(samples), step):
        energy = 0.0
        for x in samples[first : first + step]:
            y = b0 * x + u1
            u1 = b1 * x - a1 * y + u2
            u2 = b2 * x - a2 * y
            z = y + v1
            v1 = v2 - 2.0 * y - c1 * z
            v2 = y - c2 * z
            energy += z * z
        found.append(energy / 32_768**2)
    return found


def _gated(blocks: Sequence[float]) -> float:
    """The loudness of the blocks above the absolute gate, then above the one that follows them."""
    above = [energy for energy in blocks if energy > 0 and _lufs(energy) > _ABSOLUTE_GATE]
    if not above:
        return SILENCE
    gate = _lufs(sum(above) / len(above)) + _RELATIVE_GATE
    loud = [energy for energy in above if _lufs(energy) > gate]
    return _lufs(sum(loud) / len(loud))


def _lufs(energy: float) -> float:
    return _OFFSET_DB + 10 * log10(energy)
