"""Where somebody speaks in a long recording, and how loud the room is meanwhile.

Frames of 10 ms are louder than the room or not. The room's level is followed through the
recording, for fans start and cars pass. Speech begins where a higher threshold is crossed and
reaches as far as a lower one is (hysteresis), so that soft beginnings and ends of words stay.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any, TypeAlias

from showtime.voice.clip import Clip

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Sound: TypeAlias = npt.NDArray[np.float32]
else:
    Sound: TypeAlias = Any

FRAMES_S = 100
"""Frames a second, about: their length is a whole number of samples."""

SHORTEST_S = 0.07
"""Of speech; what is shorter is a click, a chair, a drop."""

LEAST_PAUSE_S, MOST_PAUSE_S, USUAL_PAUSE_S = 0.28, 0.9, 0.5
"""Between fragments. Within one, a reader rests less than the first of these."""

LOWEST_VOICE = 60.0
"""Hz; what is lower in a recording is mains hum, wind and footsteps. (Common practice.)"""

_FLOOR_WINDOW_S = 15.0
_QUIET_SHARE = 0.15
"""Of a window's frames, so many at least are pauses."""

_STOP_S = 0.16
"""The longest silence within a word, before the last sound of "eight"."""

_SOFT_S = 0.12
"""How far a faint beginning or end may lie from the loud middle."""

_BREATH_DB = 20.0
"""A sound that stays so far below the middle fragment is a breath or the next room."""


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of speech, in seconds from the beginning. `level_db`: the mean power while it
    sounds, to full scale; `noise_db`: that of the room then; `loudest`: the largest sample, of 1;
    `clipped`: samples in a row that are cut off at the top."""

    begin: float
    end: float
    level_db: float
    noise_db: float
    loudest: float
    clipped: bool

    @property
    def seconds(self) -> float:
        return self.end - self.begin

    @property
    def above_noise_db(self) -> float:
        return self.level_db - self.noise_db


def sound_of(clip: Clip) -> Sound:
    """The clip's samples, of 1, without what is lower than a voice."""
    import numpy as np

    sound = np.frombuffer(clip.samples, dtype="<i2").astype(np.float32) * np.float32(2**-15)
    return without_hum(sound, clip.rate)


def without_hum(sound: Sound, rate: int) -> Sound:
    """Without what is lower than a voice: a one-second filter with a soft edge, block by block."""
    import numpy as np

    taps = rate // 8 * 2 + 1
    places = np.arange(taps) - taps // 2
    edge = 2 * LOWEST_VOICE * 1.2 / rate
    low = edge * np.sinc(edge * places) * np.blackman(taps)
    kernel = -low / low.sum()
    kernel[taps // 2] += 1
    return _filtered(sound, kernel)


def _filtered(sound: Sound, kernel: Any) -> Sound:
    import numpy as np

    size = 1 << 16
    step, half = size - len(kernel) + 1, len(kernel) // 2
    spectrum = np.fft.rfft(kernel, size)
    padded = np.concatenate([np.zeros(half), sound, np.zeros(half + size)])
    made = np.empty(len(sound) + step, dtype=np.float32)
    for begin in range(0, len(sound), step):
        # Samples before len(kernel) - 1 wrap around; those after are as if filtered whole.
        block = np.fft.irfft(np.fft.rfft(padded[begin : begin + size]) * spectrum, size)
        made[begin : begin + step] = block[len(kernel) - 1 :]
    return made[: len(sound)]


def parts_of(clip: Clip, sound: Sound) -> list[Part]:
    """The stretches of speech, in order. `sound` is the clip's, without hum."""
    levels = _levels(sound, clip.rate)
    floors = _floors(levels)
    cores, audible = _runs(levels, floors)
    runs = [_with_soft_ends(*run, audible) for run in _without_breaths(_joined(cores), levels)]
    raw = _raw(clip)
    return [_part(first, last, levels, floors, raw, clip.rate) for first, last in runs]


def _frames(seconds: float) -> int:
    return round(seconds * FRAMES_S)


def _raw(clip: Clip) -> Any:
    import numpy as np

    return np.frombuffer(clip.samples, dtype="<i2")


def _levels(sound: Sound, rate: int) -> Any:
    """Decibels of each frame, smoothed over three."""
    import numpy as np

    frame = rate // FRAMES_S
    whole = sound[: len(sound) // frame * frame].reshape(-1, frame).astype(np.float64)
    power = (whole**2).mean(axis=1) if len(whole) else np.full(1, 1e-10)
    padded = np.pad(power, 1, mode="edge")
    smooth = (padded[:-2] + 2 * padded[1:-1] + padded[2:]) / 4
    return 10 * np.log10(smooth + 1e-9)


def _floors(levels: Any) -> Any:
    """The room's level at each frame: what its quieter frames are like, within seconds of it."""
    import numpy as np

    window = _frames(_FLOOR_WINDOW_S)
    centres, floors = list[float](), list[float]()
    for begin in range(0, max(len(levels), 1), window // 3):
        there = levels[max(begin - window // 2, 0) : begin + window // 2]
        centres.append(begin)
        floors.append(float(np.quantile(there, _QUIET_SHARE)))
    return np.interp(np.arange(len(levels)), centres, floors)


def _runs(levels: Any, floors: Any) -> tuple[list[tuple[int, int]], Any]:
    """First and last frame of each run above the lower threshold that also crosses the higher; and
    which frames are louder than the room at all."""
    import numpy as np

    speech = float(np.quantile(levels, 0.95))
    reach = np.maximum(speech - floors, 12.0)
    faint = floors + np.clip(0.15 * reach, 4.0, 7.0)
    low = np.maximum(faint, speech - _BREATH_DB - 12)
    high = np.maximum(floors + np.clip(0.4 * reach, 7.0, 22.0), speech - _BREATH_DB - 2)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (levels > low).astype(int), [0]])))
    runs = zip(edges[::2], edges[1::2], strict=True)
    loud = [
        (int(first), int(after) - 1)
        for first, after in runs
        if (levels[first:after] > high[first:after]).any()
    ]
    return loud, levels > faint


def _with_soft_ends(first: int, last: int, audible: Any) -> tuple[int, int]:
    """The run with what is fainter, yet louder than the room, shortly before and after it: the
    end of "sharp" comes after a little silence."""
    import numpy as np

    most = _frames(_SOFT_S)
    begin = max(first - most, 0)
    before = np.flatnonzero(audible[begin:first])
    after = np.flatnonzero(audible[last + 1 : last + 1 + most])
    return (
        begin + int(before[0]) if len(before) else first,
        last + 1 + int(after[-1]) if len(after) else last,
    )


def _joined(runs: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Runs of one fragment as one; those too short for speech are dropped, unless they belong to
    a longer one beside them, as the end of "eight" does."""
    close = _gathered(runs, _frames(_STOP_S))
    kept = [run for run in close if run[1] - run[0] + 1 >= _frames(SHORTEST_S)]
    return _gathered(kept, _frames(_pause(kept)))


def _gathered(runs: Sequence[tuple[int, int]], gap: int) -> list[tuple[int, int]]:
    gathered = list[tuple[int, int]]()
    for first, last in runs:
        if gathered and first - gathered[-1][1] - 1 < gap:
            gathered[-1] = (gathered[-1][0], last)
        else:
            gathered.append((first, last))
    return gathered


def _pause(runs: Sequence[tuple[int, int]]) -> float:
    """Seconds that part fragments: where the pauses of this reader fall into two kinds."""
    gaps = sorted((two[0] - one[1] - 1) / FRAMES_S for one, two in pairwise(runs))
    # Between the longest short pause and the shortest long one lies the widest step, if any.
    within = [LEAST_PAUSE_S, *(g for g in gaps if LEAST_PAUSE_S < g < MOST_PAUSE_S), MOST_PAUSE_S]
    steps = [
        (after / before, before, after) for before, after in zip(within, within[1:], strict=False)
    ]
    ratio, before, after = max(steps)
    return (before * after) ** 0.5 if ratio > 1.25 else USUAL_PAUSE_S


def _without_breaths(runs: list[tuple[int, int]], levels: Any) -> list[tuple[int, int]]:
    import numpy as np

    if not runs:
        return runs
    loud = [float(np.quantile(levels[first : last + 1], 0.9)) for first, last in runs]
    least = float(np.median(loud)) - _BREATH_DB
    return [run for run, level in zip(runs, loud, strict=True) if level > least]


def _part(first: int, last: int, levels: Any, floors: Any, raw: Any, rate: int) -> Part:
    import numpy as np

    frame = rate // FRAMES_S
    there = raw[first * frame : (last + 1) * frame].astype(np.int32)
    sounding = levels[first : last + 1]
    return Part(
        first * frame / rate,
        (last + 1) * frame / rate,
        10 * float(np.log10((10 ** (sounding / 10)).mean())),
        float(floors[first : last + 1].mean()),
        float(np.abs(there).max(initial=0)) / 32768,
        _is_clipped(there),
    )


def _is_clipped(samples: Any) -> bool:
    """True when five samples in a row lie at the top: a wave that is cut off."""
    import numpy as np

    top = (np.abs(samples) >= 0.995 * 32767).astype(int)
    return len(top) >= 5 and int(np.convolve(top, np.ones(5, dtype=int)).max()) == 5
