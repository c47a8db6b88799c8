"""A piece as the bytes of a WAV file, cut so that it joins others closely."""

from __future__ import annotations

import io
import wave
from array import array
from collections.abc import Callable
from itertools import compress, count
from sys import byteorder

from showtime.figure.pack_pieces import Piece
from showtime.figure.pack_windows import PackError
from showtime.voice import Clip, Voice, VoiceError

RATES = (22_050, 44_100)

_TAIL_S = 0.015
"""Left after a piece that goes on: whatever silence there was would be heard as a gap."""

_QUIET = 120
"""What counts as silence there: 49 dB below full scale."""

# A half-band filter by the window method (Hamming), 31 taps: twice the samples, and of what was
# not there before, above a quarter of the new rate, next to nothing.
_TAPS = 31

Read = Callable[[Piece], Clip]


def sound_of(piece: Piece, voice: Voice, recorded: Read, rate: int) -> bytes:
    """The WAV file of a piece at `rate`. PackError: nobody can say it."""
    try:
        clip = recorded(piece) if piece.recorded else voice.render(spoken(piece), piece.language)
    except VoiceError as cause:
        raise PackError(f"{piece.text!r} cannot be spoken: {cause}") from cause
    samples = array("h")
    samples.frombytes(clip.samples)
    if byteorder == "big":
        samples.byteswap()
    if piece.goes_on:
        samples = _without_tail(samples, clip.rate)
    return written(samples if rate == clip.rate else doubled(samples), rate)


def spoken(piece: Piece) -> str:
    """The text for a synthesiser, which lets its voice fall at the end of whatever it is given:
    after a comma it falls least."""
    return f"{piece.text}," if piece.goes_on else piece.text


def _without_tail(samples: array[int], rate: int) -> array[int]:
    loud = compress(count(1), (abs(sample) > _QUIET for sample in samples))
    end = max(loud, default=len(samples))
    return samples[: end + round(_TAIL_S * rate)]


def doubled(samples: array[int]) -> array[int]:
    """The same sound at twice the rate."""
    import numpy as np

    places = np.arange(_TAPS) - _TAPS // 2
    taps = np.sinc(places / 2) * np.hamming(_TAPS)
    apart = np.zeros(2 * len(samples))
    apart[::2] = np.frombuffer(samples, dtype=np.int16)
    smooth = np.convolve(apart, taps / taps.sum() * 2, mode="same")
    return array("h", np.clip(np.rint(smooth), -32768, 32767).astype(np.int16).tobytes())


def written(samples: array[int], rate: int) -> bytes:
    """16-bit mono PCM in RIFF, the header in its shortest form of 44 bytes."""
    if byteorder == "big":
        samples = samples[:]
        samples.byteswap()
    whole = io.BytesIO()
    with wave.open(whole, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(samples.tobytes())
    return whole.getvalue()
