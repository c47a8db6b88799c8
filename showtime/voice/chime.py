"""A short sound before the words, so that heads are raised when they begin.

Three strokes on a strip of tin, made by arithmetic: no recording, and no tune anybody owns.
"""

from __future__ import annotations

from array import array
from enum import StrEnum
from functools import cache
from math import exp, pi, sin

from showtime.voice.card import RATE
from showtime.voice.clip import Clip
from showtime.voice.levelling import TARGET_LUFS, amplified, faded, levelled
from showtime.voice.samples import added, clip_of

STROKES_HZ = (600.0, 700.0, 840.0)
"""In the ratios 1 : 7/6 : 7/5, which no scale of common instruments has."""

_PARTIALS = ((1.0, 1.0, 9.0), (2.756, 0.4, 16.0), (5.404, 0.12, 30.0))
"""Ratio, strength and decay a second of what sounds in a bar that is free at both ends (the ratios
are the Euler-Bernoulli bar's, from memory)."""

_APART_S, _RINGS_S, _PAUSE_S = 0.16, 0.4, 0.12
_BELOW_SPEECH_LU = 3.0


class Chime(StrEnum):
    """Which sound comes before the words."""

    NONE = "none"
    RISING = "rising"
    FALLING = "falling"


def after_chime(clip: Clip, chime: Chime, gain: float = 1.0) -> Clip:
    """`clip`, whose rate is the card's, after the chime at that gain (0 to 1) and a pause.

    Made anew for each clip rather than kept with it: joining takes no time that can be heard.
    """
    if chime is Chime.NONE:
        return clip
    return Clip(chime_clip(chime, gain).samples + clip.samples, clip.rate)


@cache
def chime_clip(chime: Chime, gain: float = 1.0) -> Clip:
    """The chime alone, with its pause; empty for NONE. A little softer than speech."""
    if chime is Chime.NONE:
        return Clip(b"", RATE)
    tones = STROKES_HZ if chime is Chime.RISING else tuple(reversed(STROKES_HZ))
    sound = array("h")
    for number, hertz in enumerate(tones):
        sound = added(sound, _silence(number * _APART_S) + _stroke(hertz))
    level = amplified(levelled(sound, RATE, TARGET_LUFS - _BELOW_SPEECH_LU), gain)
    return clip_of(faded(level, RATE) + _silence(_PAUSE_S), RATE)


def _stroke(hertz: float) -> array[int]:
    return array(
        "h",
        [
            round(
                7_000
                * sum(
                    strength * exp(-decay * i / RATE) * sin(2 * pi * hertz * ratio * i / RATE)
                    for ratio, strength, decay in _PARTIALS
                )
            )
            for i in range(round(_RINGS_S * RATE))
        ],
    )


def _silence(seconds: float) -> array[int]:
    return array("h", bytes(2 * round(seconds * RATE)))
