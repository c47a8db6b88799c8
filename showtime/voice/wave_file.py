"""Clips as RIFF WAV files, readable by any program that plays sound."""

from __future__ import annotations

from pathlib import Path

from showtime.voice.channels import Channels
from showtime.voice.clip import Clip


def write_wav(clip: Clip, path: Path | str, channels: Channels = Channels.ONE) -> None:
    """Write `clip` as 16-bit PCM; OSError when the file cannot be written."""
    import wave

    # Opened here: where `wave` cannot open a file itself, it complains on stderr besides.
    with Path(path).open("wb") as opened, wave.open(opened, "wb") as file:
        file.setnchannels(channels.width)
        file.setsampwidth(2)
        file.setframerate(clip.rate)
        file.writeframes(channels.laid_out(clip.samples))
