"""Fragments at one loudness, reckoned from their spectrum: some hundred at once, and quickly."""

from __future__ import annotations

from array import array
from functools import cache
from typing import Any

from showtime.voice.levelling import CEILING, MOST_DB, TARGET_LUFS, amplified, levelled
from showtime.voice.loudness import SILENCE, Biquad, k_weighting
from showtime.voice.recorded.pauses import Sound

_OFFSET_DB = -0.691


def loudness_of(sound: Sound, rate: int) -> float:
    """LUFS of a short sound as one block, ungated: the energy under BS.1770's weighting, which by
    Parseval's theorem may be summed over frequencies as well as over time."""
    import numpy as np

    if not len(sound):
        return SILENCE
    size = 1 << (2 * len(sound) - 1).bit_length()
    power = np.abs(np.fft.rfft(sound, size)) ** 2 * _weights(rate, size)
    energy = 2 * float(power.sum()) / size / len(sound)
    return _OFFSET_DB + 10 * float(np.log10(energy)) if energy > 1e-12 else SILENCE


@cache
def _weights(rate: int, size: int) -> Any:
    """How much of the power at each frequency the weighting lets through."""
    import numpy as np

    turn = np.exp(-2j * np.pi * np.arange(size // 2 + 1) / size)
    response = np.ones(size // 2 + 1)
    for each in k_weighting(rate):
        response = response * _power_through(each, turn)
    return response


def _power_through(each: Biquad, turn: Any) -> Any:
    import numpy as np

    above = each.b0 + each.b1 * turn + each.b2 * turn**2
    below = 1 + each.a1 * turn + each.a2 * turn**2
    return np.abs(above / below) ** 2


def at_one_loudness(samples: array[int], loudness: float, rate: int) -> array[int]:
    """The samples, which have that loudness, at the loudness of every clip; never clipped."""
    if loudness == SILENCE or not samples:
        return samples
    gain = 10 ** (min(TARGET_LUFS - loudness, MOST_DB) / 20)
    highest = max(max(samples), -min(samples))
    return amplified(samples, gain) if highest * gain <= CEILING else levelled(samples, rate)
