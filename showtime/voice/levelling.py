"""Every clip equally loud to the ear, never clipped, and with soft ends."""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from itertools import pairwise
from math import cos, pi
from operator import mul

from showtime.voice.loudness import SILENCE, Blocks
from showtime.voice.samples import LOUDEST, peak

TARGET_LUFS = -18.0
"""As loud as speech is meant to be where there is no picture: AES TD1008 (from memory)."""

CEILING = round(0.794 * LOUDEST)
"""2 dB below full scale. Between two samples a wave rises above both, by up to 1 dB in speech; so
the true peak stays 1 dB below full scale, as EBU R 128 wants it (from memory)."""

FADE_S = 0.02
"""How long a clip's beginning and end take to rise and to fall."""

MOST_DB = 30.0
"""Nothing is made louder than by this, so that a hiss stays one."""

_BITS = 14
_ONE = 1 << _BITS
"""Gains are whole numbers of this part: four times as fast as floating ones that are cut off."""

_STEP_S = 0.004
_REACH = 2
"""Steps before and after a peak within which it is turned down: too slow to be heard as a crackle,
too fast as a pause for breath."""


def levelled(samples: array[int], rate: int, target: float = TARGET_LUFS) -> array[int]:
    """`samples` at the loudness `target` (LUFS); peaks above CEILING are turned down smoothly.

    Silence stays silence.
    """
    blocks = Blocks.of(samples, rate)
    measured = blocks.loudness()
    if measured == SILENCE:
        return samples
    gain_db = min(target - measured, MOST_DB)
    step = max(round(_STEP_S * rate), 1)
    pieces = [samples[first : first + step] for first in range(0, len(samples), step)]
    peaks = [peak(piece) for piece in pieces]
    if max(peaks) * _factor(gain_db) <= CEILING:
        return amplified(samples, _factor(gain_db))
    # Turning peaks down takes some loudness away, and giving it back raises peaks: two rounds
    # come within 0.2 LU where speech is concerned.
    strengths = [float(sum(map(mul, piece, piece))) for piece in pieces]
    gains = _gains(peaks, _factor(gain_db))
    for _ in range(2):
        gain_db = min(gain_db + target - blocks.under(gains, strengths, step).loudness(), MOST_DB)
        gains = _gains(peaks, _factor(gain_db))
    return _shaped(samples, step, gains)


def faded(samples: array[int], rate: int) -> array[int]:
    """Rising from nothing and falling to nothing, each over FADE_S, along half a cosine."""
    length = min(round(FADE_S * rate), len(samples) // 2)
    soft = samples[:]
    for i in range(length):
        factor = 0.5 - 0.5 * cos(pi * i / length)
        soft[i] = int(soft[i] * factor)
        soft[-1 - i] = int(soft[-1 - i] * factor)
    return soft


def amplified(samples: array[int], gain: float) -> array[int]:
    """Every sample times `gain`, which must leave them within 16 bits."""
    fixed = round(gain * _ONE)
    return array("h", [sample * fixed >> _BITS for sample in samples])


def _factor(decibels: float) -> float:
    return float(10 ** (decibels / 20))


def _gains(peaks: Sequence[int], gain: float) -> list[float]:
    """The gain where each step begins, and where the last one ends.

    Each step allows a gain of its own. Where two meet the lower one holds, then the lowest
    within reach, then the mean within reach: none of which exceeds what any of the steps allows.
    """
    allowed = [min(gain, CEILING / max(highest, 1)) for highest in peaks]
    meeting = [min(pair) for pair in zip([gain, *allowed], [*allowed, gain], strict=True)]
    lowest = [
        min(meeting[max(i - _REACH, 0) : i + _REACH + 1])
        for i in range(-_REACH, len(meeting) + _REACH)
    ]
    width = 2 * _REACH + 1
    return [sum(lowest[i : i + width]) / width for i in range(len(meeting))]


def _shaped(samples: array[int], step: int, gains: Sequence[float]) -> array[int]:
    """Every sample times the gain that goes evenly from each step's beginning to the next one's."""
    made = array("h")
    ends = [round(gain * _ONE) for gain in gains]
    for number, (start, end) in enumerate(pairwise(ends)):
        piece = samples[number * step : (number + 1) * step]
        # Towards nothing, so that it passes neither end.
        slope = int((end - start) / step)
        if slope:
            rising = range(start, start + slope * step, slope)
            made.extend([each * gain >> _BITS for each, gain in zip(piece, rising, strict=False)])
        else:
            held = min(start, end)
            made.extend([each * held >> _BITS for each in piece])
    return made
