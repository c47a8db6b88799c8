"""Clips as RIFF WAV files, readable by any program that plays sound."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

from showtime.voice.clip import Clip


def write_wav(clip: Clip, path: Path | str) -> None:
    """Write `clip` as 16-bit mono PCM; OSError when the file cannot be written."""
    import wave

    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(clip.rate)
        file.writeframes(clip.samples)


def read_wav(file: BinaryIO) -> Clip:
    """The clip in an open 16-bit mono WAV file; ValueError when it is anything else."""
    import wave

    with wave.open(file, "rb") as reader:
        if reader.getnchannels() != 1 or reader.getsampwidth() != 2:
            raise ValueError("not a 16-bit mono WAV file")
        return Clip(reader.readframes(reader.getnframes()), reader.getframerate())
