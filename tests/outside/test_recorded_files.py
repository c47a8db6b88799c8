"""Recordings from any recorder, encoded by a library that is not ours.

Encoder: libsndfile (https://libsndfile.github.io/libsndfile/), with FLAC, Vorbis and MP3, through
the python-soundfile package. What it wrote must be heard as what went in.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from showtime.voice import EmbeddedVoice
from showtime.voice.recorded import read_recording
from showtime.voice.samples import samples_of

KINDS = [
    ("WAV", "PCM_U8", 8000, 1, 0.93),
    ("WAV", "PCM_16", 44_100, 2, 0.999),
    ("WAV", "PCM_24", 96_000, 1, 0.999),
    ("WAV", "PCM_32", 48_000, 2, 0.999),
    ("WAV", "FLOAT", 48_000, 1, 0.999),
    ("WAVEX", "PCM_24", 48_000, 2, 0.999),
    ("FLAC", "PCM_16", 22_050, 1, 0.999),
    ("FLAC", "PCM_24", 48_000, 2, 0.999),
    ("OGG", "VORBIS", 44_100, 2, 0.99),
    ("MP3", "MPEG_LAYER_III", 44_100, 2, 0.99),
    ("MP3", "MPEG_LAYER_III", 16_000, 1, 0.95),
]


@pytest.mark.parametrize(("kind", "coding", "rate", "channels", "alike"), KINDS)
def test_a_recording_is_heard_as_it_was_spoken(
    kind: str, coding: str, rate: int, channels: int, alike: float, tmp_path: Path
) -> None:
    clip = EmbeddedVoice().render("half past two, and not a minute later", "en")
    spoken = np.array(samples_of(clip)) / 32768 * 0.5
    length = round(len(spoken) * rate / clip.rate)
    at_rate = np.interp(np.arange(length) * clip.rate / rate, np.arange(len(spoken)), spoken)
    path = tmp_path / f"spoken.{kind[:4].rstrip('X').lower()}"
    sound = np.stack([at_rate] * channels, axis=1)
    soundfile.write(path, sound, rate, subtype=coding, format=kind)

    heard = np.array(samples_of(read_recording(path))) / 32768
    assert abs(len(heard) - len(spoken)) < 0.15 * clip.rate
    assert likeness(spoken, heard) > alike
    assert np.sqrt((heard**2).mean()) == pytest.approx(np.sqrt((spoken**2).mean()), rel=0.15)


def likeness(one: np.ndarray, other: np.ndarray) -> float:
    """The largest correlation of their envelopes of 10 ms, at any shift: coders add a delay."""

    def envelope(sound: np.ndarray) -> np.ndarray:
        whole = sound[: len(sound) // 220 * 220].reshape(-1, 220)
        made = np.sqrt((whole**2).mean(axis=1))
        return made - made.mean()

    a, b = envelope(one), envelope(other)
    across = np.correlate(a, b, "full")
    return float(across.max() / np.sqrt((a**2).sum() * (b**2).sum()))
