"""Arithmetic on 16-bit samples: reading clips, levels, ramps, silence at the ends."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Sequence

from showtime.voice.clip import Clip

LOUDEST = 32767
"""The largest 16-bit sample."""


def samples_of(clip: Clip) -> array[int]:
    """The clip's samples as numbers."""
    samples = array("h")
    samples.frombytes(clip.samples)
    if sys.byteorder == "big":
        samples.byteswap()
    return samples


def clip_of(samples: array[int], rate: int) -> Clip:
    """The opposite of `samples_of`."""
    if sys.byteorder == "big":
        samples = samples[:]
        samples.byteswap()
    return Clip(samples.tobytes(), rate)


def peak(samples: Sequence[int]) -> int:
    """The largest distance from zero."""
    return max(max(samples), -min(samples)) if samples else 0


def scaled(samples: array[int], gain: float) -> array[int]:
    """Every sample times `gain`, which is from 0 to 1, so that nothing can clip."""
    if gain == 1.0:
        return samples
    return array("h", [int(sample * gain) for sample in samples])


def with_peak(samples: array[int], wanted: int) -> array[int]:
    """Made louder or softer until the largest sample is `wanted`, at most LOUDEST."""
    highest = peak(samples)
    if not highest:
        return samples
    factor = wanted / highest
    return array("h", [int(sample * factor) for sample in samples])


def ramped(samples: array[int], first: float, last: float) -> array[int]:
    """Every sample times a factor that goes evenly from `first` to `last` (both 0 to 1)."""
    step = (last - first) / max(len(samples), 1)
    return array("h", [int(sample * (first + step * i)) for i, sample in enumerate(samples)])


def one_after_the_other(clips: Sequence[Clip]) -> Clip:
    """The clips, which are of one rate, with half a second of silence between them."""
    pause = bytes(clips[0].rate // 2 * 2)
    return Clip(pause.join(clip.samples for clip in clips), clips[0].rate)


def added(one: array[int], other: array[int]) -> array[int]:
    """The two together from the same moment, held to 16 bits; as long as the longer one."""
    longer, shorter = (one, other) if len(one) >= len(other) else (other, one)
    both = array("h", [_held(a + b) for a, b in zip(longer, shorter, strict=False)])
    return both + longer[len(shorter) :]


def trimmed(samples: array[int], quiet: int, lead: int, tail: int) -> array[int]:
    """Without the silence at the ends, but with `lead` samples before and `tail` after.

    Silence is what stays at or below `quiet`, and what is added where there is too little of it;
    empty when all of it is silence.
    """
    first = next((i for i, sample in enumerate(samples) if abs(sample) > quiet), None)
    if first is None:
        return array("h")
    end = next(i for i in range(len(samples), 0, -1) if abs(samples[i - 1]) > quiet)
    before, after = max(lead - first, 0), max(tail - (len(samples) - end), 0)
    kept = samples[max(first - lead, 0) : end + tail]
    return array("h", bytes(2 * before)) + kept + array("h", bytes(2 * after))


def _held(value: int) -> int:
    return max(-LOUDEST - 1, min(LOUDEST, value))
