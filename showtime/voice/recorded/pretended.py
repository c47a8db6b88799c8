"""A reader who is not there: a script spoken by the embedded voice, as a person would record it.

With pauses of different lengths, a level that wanders, the room's noise, mains hum, breaths and
clicks; so that cutting can be tried without an evening's reading.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable
from dataclasses import dataclass
from random import Random

from showtime.voice.card import RATE
from showtime.voice.clip import Clip
from showtime.voice.embedded import Voice
from showtime.voice.samples import clip_of, samples_of


@dataclass(frozen=True, slots=True)
class Room:
    """What else is in the recording, of full scale: noise and hum (their levels), and how often a
    pause has a breath or a click in it. `pauses`: the shortest and the longest, in seconds."""

    noise: float = 0.001
    hum: float = 0.004
    breaths: float = 0.15
    clicks: float = 0.08
    pauses: tuple[float, float] = (0.75, 1.5)


@dataclass(frozen=True, slots=True)
class Reading:
    """The recording, and where in it each text begins and ends, in seconds."""

    clip: Clip
    places: tuple[tuple[str, float, float], ...]


def read_out(
    texts: Iterable[str], voice: Voice, language: str, room: Room | None = None, seed: int = 1
) -> Reading:
    """The texts one after the other, each at half the level of a clip, give or take 3 dB."""
    import numpy as np

    room, random, noise = room or Room(), Random(seed), np.random.default_rng(seed)
    sounds, places, at = [np.zeros(RATE)], list[tuple[str, float, float]](), RATE
    for text in texts:
        spoken = np.array(samples_of(voice.render(text, language))) / 32768
        spoken = spoken * 0.5 * 10 ** (random.uniform(-3, 3) / 20)
        places.append((text, at / RATE, (at + len(spoken)) / RATE))
        pause = np.zeros(round(random.uniform(*room.pauses) * RATE))
        if random.random() < room.breaths:
            breath = noise.normal(0, 0.004, RATE // 4) * np.hanning(RATE // 4)
            begin = len(pause) // 2 - len(breath) // 2
            pause[begin : begin + len(breath)] += breath
        if random.random() < room.clicks:
            pause[len(pause) // 3 :][:40] += noise.normal(0, 0.12, 40)
        sounds += [spoken, pause]
        at += len(spoken) + len(pause)
    whole = np.concatenate(sounds)
    whole += noise.normal(0, room.noise, len(whole))
    whole += room.hum * np.sin(2 * np.pi * 50 * np.arange(len(whole)) / RATE)
    samples = array("h", np.clip(whole * 32768, -32768, 32767).astype("<i2").tobytes())
    return Reading(clip_of(samples, RATE), tuple(places))
