"""One long recording of a script, cut into its fragments, with what looks wrong of each."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import median
from typing import Any

from showtime.voice.clip import Clip
from showtime.voice.recorded.aligning import Alignment, align
from showtime.voice.recorded.evenly import at_one_loudness, loudness_of
from showtime.voice.recorded.likeness import features
from showtime.voice.recorded.pauses import Part, Sound, parts_of, sound_of
from showtime.voice.recorded.reading import RecordingError
from showtime.voice.samples import clip_of

LEAD_S, TAIL_S = 0.004, 0.0
"""Kept before and after what is heard, which has soft edges of its own; more would be heard as a
halt at each join."""

LEAST_ABOVE_NOISE_DB = 15.0
"""Speech less far above the room's noise is heard with it, at each join anew (a judgement)."""

TOO_QUIET_DB = 9.0
"""Below the middle fragment: making it as loud makes its noise as loud (a judgement)."""

TOO_LONG, TOO_SHORT = 2.2, 0.45
"""Times the length that the text lets expect, at this reader's pace."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A fragment of the script: its number there, its text, about how long it takes to say."""

    number: int
    text: str
    seconds: float


@dataclass(frozen=True, slots=True)
class Take:
    """A fragment that was found: where, in seconds, how loud in LUFS, how far above the room's
    noise, and what looks wrong, each with what to do."""

    wanted: Wanted
    begin: float
    end: float
    loudness: float
    above_noise_db: float
    remarks: tuple[str, ...]
    clip: Clip

    @property
    def seconds(self) -> float:
        return self.end - self.begin


@dataclass(frozen=True, slots=True)
class Cut:
    """What was found in a recording: the takes; fragments that were not read; stretches of
    something else, and of readings that were repeated (begin and end in seconds)."""

    seconds: float
    takes: tuple[Take, ...]
    not_read: tuple[Wanted, ...]
    beside: tuple[tuple[float, float], ...]
    read_again: tuple[tuple[float, float], ...]


def cut(
    recording: Clip, wanted: Sequence[Wanted], spoken: Callable[[str], Clip] | None = None
) -> Cut:
    """The fragments in a recording that was read in the order of `wanted`, with pauses between.

    `spoken` says a text in any voice: what was read is compared with it, so that a fragment that
    was left out or repeated is known by its sound; without it by the lengths alone.
    RecordingError when nothing is spoken in the recording at all.
    """
    sound = sound_of(recording)
    parts = parts_of(recording, sound)
    if not parts:
        raise RecordingError(
            "nobody speaks in this recording, or not louder than the room; record it again, nearer "
            "to the microphone"
        )
    laid = _laid(parts, sound, recording.rate, wanted, spoken)
    found = [
        (each, parts[part])
        for each, part in zip(wanted, laid.part_of, strict=True)
        if part is not None
    ]
    usual = _Usual.of(found)
    rather = {wanted[one].number: wanted[other].text for one, other in laid.rather.items()}
    return Cut(
        recording.seconds,
        tuple(
            _take(each, part, sound, recording.rate, usual, rather.get(each.number))
            for each, part in found
        ),
        tuple(each for each, part in zip(wanted, laid.part_of, strict=True) if part is None),
        tuple((parts[part].begin, parts[part].end) for part in laid.beside),
        tuple((parts[part].begin, parts[part].end) for part in laid.read_again),
    )


def _laid(
    parts: Sequence[Part],
    sound: Sound,
    rate: int,
    wanted: Sequence[Wanted],
    spoken: Callable[[str], Clip] | None,
) -> Alignment:
    """The parts laid on the fragments wanted."""

    @cache
    def expected(fragment: int) -> Any:
        assert spoken is not None
        clip = spoken(wanted[fragment].text)
        return features(sound_of(clip), clip.rate)

    return align(
        [part.seconds for part in parts],
        [each.seconds for each in wanted],
        [features(_slice(sound, part.begin, part.end, rate), rate) for part in parts],
        None if spoken is None else expected,
    )


def _slice(sound: Sound, begin: float, end: float, rate: int) -> Sound:
    return sound[max(round(begin * rate), 0) : round(end * rate)]


@dataclass(frozen=True, slots=True)
class _Usual:
    """What the middle fragment of this reader is like."""

    level_db: float
    pace: float

    @classmethod
    def of(cls, found: Sequence[tuple[Wanted, Part]]) -> _Usual:
        if not found:
            return cls(0.0, 1.0)
        return cls(
            median(part.level_db for _, part in found),
            median(part.seconds / each.seconds for each, part in found),
        )


def _take(
    each: Wanted, part: Part, sound: Sound, rate: int, usual: _Usual, rather: str | None
) -> Take:
    loudness = loudness_of(_slice(sound, part.begin, part.end, rate), rate)
    raw = _as_samples(_slice(sound, part.begin - LEAD_S, part.end + TAIL_S, rate))
    return Take(
        each,
        part.begin,
        part.end,
        loudness,
        part.above_noise_db,
        tuple(_remarks(each, part, usual, rather)),
        clip_of(at_one_loudness(raw, loudness, rate), rate),
    )


def _as_samples(sound: Sound) -> array[int]:
    import numpy as np

    return array("h", np.clip(sound * 32768, -32768, 32767).astype(np.int16).tobytes())


def _remarks(each: Wanted, part: Part, usual: _Usual, rather: str | None) -> list[str]:
    expected = usual.pace * each.seconds
    found = list[str]()
    if rather is not None:
        found.append(f"sounds more like {rather!r}: listen to it, and read it again if it is")
    if part.clipped:
        found.append("clipped: speak softer or turn the recorder down")
    if part.level_db < usual.level_db - TOO_QUIET_DB:
        found.append("too quiet beside the others")
    if part.above_noise_db < LEAST_ABOVE_NOISE_DB:
        found.append("noise: go nearer to the microphone, or to a quieter room")
    if part.seconds > TOO_LONG * expected + 0.2:
        found.append("long for its text: a cough, or two fragments without a pause?")
    if part.seconds < TOO_SHORT * expected:
        found.append("short for its text: is a part missing?")
    return found
