"""How alike two utterances sound, whoever says them: mel cepstra, compared by dynamic time warping.

Used to know a fragment that was read twice, and to find where a reading slipped, by comparing it
with the embedded voice. (Both methods are textbook knowledge: Rabiner & Juang, Fundamentals of
Speech Recognition, 1993; from memory.)
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from showtime.voice.recorded.pauses import Sound

_WINDOW_S, _HOP_S = 0.032, 0.016
_BANDS, _CEPSTRA = 24, 12
_LOWEST_HZ, _HIGHEST_HZ = 120.0, 6500.0


def features(sound: Sound, rate: int) -> Any:
    """A row of cepstra for each 16 ms, without the mean, which is the microphone's and room's."""
    import numpy as np

    window, hop = round(_WINDOW_S * rate), round(_HOP_S * rate)
    whole = sound if len(sound) >= window else np.resize(sound, window)
    frames = np.lib.stride_tricks.sliding_window_view(whole, window)[::hop]
    power = np.abs(np.fft.rfft(frames * np.hanning(window), axis=1)) ** 2
    bands = np.log(power @ _mel(rate, window).T + 1e-8)
    cepstra = bands @ _cosines().T
    even = (cepstra - cepstra.mean(axis=0)) / (cepstra.std() + 1e-6)
    return even.astype(np.float32)


@cache
def _mel(rate: int, window: int) -> Any:
    """Triangular bands, evenly spaced on the mel scale."""
    import numpy as np

    low, high = (2595 * np.log10(1 + hertz / 700) for hertz in (_LOWEST_HZ, _HIGHEST_HZ))
    edges = 700 * (10 ** (np.linspace(low, high, _BANDS + 2) / 2595) - 1)
    hertz = np.fft.rfftfreq(window, 1 / rate)
    rise = (hertz - edges[:-2, None]) / (edges[1:-1] - edges[:-2])[:, None]
    fall = (edges[2:, None] - hertz) / (edges[2:] - edges[1:-1])[:, None]
    return np.clip(np.minimum(rise, fall), 0, None)


@cache
def _cosines() -> Any:
    import numpy as np

    place = (np.arange(_BANDS) + 0.5) * np.pi / _BANDS
    return np.cos(np.arange(1, _CEPSTRA + 1)[:, None] * place) * np.sqrt(2 / _BANDS)


def distances(one: Any, others: Sequence[Any]) -> list[float]:
    """From 0 for the same sound; about 1 for two that have nothing in common.

    Each frame of `one` is laid on a frame of the other, never going back, at most two onward.
    """
    import numpy as np

    if not others:
        return []
    longest = max(map(len, others))
    stack = np.full((len(others), longest, one.shape[1]), 1e3, dtype=np.float32)
    for place, other in enumerate(others):
        stack[place, : len(other)] = other
    far = np.full((len(others), longest), np.inf)
    far[:, 0] = _apart(one[0], stack)[:, 0]
    for frame in one[1:]:
        nearest = far.copy()
        np.minimum(nearest[:, 1:], far[:, :-1], out=nearest[:, 1:])
        np.minimum(nearest[:, 2:], far[:, :-2], out=nearest[:, 2:])
        far = _apart(frame, stack) + nearest
    # The last few frames may be left out: one speaker lets a sound ring on where another stops.
    return [
        float(min(far[place, max(len(other) - 3, 0) : len(other)].min() / len(one), 9.0))
        for place, other in enumerate(others)
    ]


def _apart(frame: Any, stack: Any) -> Any:
    """How far a frame lies from each frame of the others."""
    import numpy as np

    off = stack - frame
    return np.sqrt(np.einsum("ijk,ijk->ij", off, off) / len(frame))
