"""A recording from a file, whatever recorder made it."""

from __future__ import annotations

from array import array
from pathlib import Path

from showtime.voice.card import RATE
from showtime.voice.clip import Clip
from showtime.voice.samples import clip_of
from showtime.voice.synthesiser import VoiceError

LONGEST_S = 3 * 3600
"""More than an evening's reading; longer files are taken for a mistake."""

KINDS = "WAV, FLAC, MP3 and OGG"
_CHUNK = 65_536


class RecordingError(VoiceError):
    """A recording that cannot be used; the message says which, why, and what to do."""


def read_recording(path: Path) -> Clip:
    """The recording as one channel at the card's rate; RecordingError when it is none.

    Read piece by piece, so that a huge file is refused before it fills the memory.
    """
    from showtime.voice.bare_miniaudio import miniaudio

    if not path.is_file():
        raise RecordingError(f"{path}: there is no such file; give the recording's path")
    if not path.stat().st_size:
        raise RecordingError(f"{path}: the file is empty; copy it from the recorder again")
    samples = array("h")
    try:
        pieces = miniaudio.stream_file(
            str(path), nchannels=1, sample_rate=RATE, frames_to_read=_CHUNK
        )
        for piece in pieces:
            samples.extend(piece)
            if len(samples) > LONGEST_S * RATE:
                pieces.close()
                raise RecordingError(
                    f"{path}: longer than {LONGEST_S // 3600} hours; cut it in parts"
                )
    except (miniaudio.DecodeError, UnicodeEncodeError) as cause:
        raise RecordingError(
            f"{path}: {_kind_of(path)} cannot be read; {KINDS} can, so save it as one of these"
        ) from cause
    if not samples:
        raise RecordingError(f"{path}: there is no sound in it; copy it from the recorder again")
    return clip_of(samples, RATE)


def _kind_of(path: Path) -> str:
    """What the file seems to be, by how it begins; phones record in such kinds."""
    with path.open("rb") as file:
        begin = file.read(64)
    if b"OpusHead" in begin:
        return "Opus sound"
    if begin[4:8] == b"ftyp":
        return "AAC sound (m4a, mp4)"
    return "what is in this file"
