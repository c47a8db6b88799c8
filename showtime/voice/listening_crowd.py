"""The noise of a crowd, made of many voices that talk at once."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import TYPE_CHECKING, Any, TypeAlias

from showtime.voice.clip import Clip
from showtime.voice.embedded import EmbeddedVoice

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Sound: TypeAlias = npt.NDArray[np.float64]
else:
    Sound: TypeAlias = Any

TALKERS = 16
"""Enough that no single word is made out. (Common practice: babble is made of eight or more.)"""

SECONDS = 30.0

_VARIANTS = ("", "+f2", "+f3", "+f4", "+m1", "+m3", "+m4", "+m7")
_PACES = (140, 160, 180, 200)
_SPEAKING_DB = 30.0
"""A frame counts as speech when it is less than so far below the loudest one."""


class Crowd:
    """Babble at `rate`: the sum of talkers who say `lines` in many voices, each from a moment of
    its own, so that it has the spectrum of speech. The same seed gives the same crowd, but for
    the synthesiser's own breath."""

    def __init__(self, lines: Sequence[str], language: str, rate: int, seed: int = 1) -> None:
        import numpy as np

        random = Random(seed)
        self._random = random
        self._babble = np.zeros(round(SECONDS * rate))
        for number in range(TALKERS):
            voice = EmbeddedVoice(
                _base(language) + _VARIANTS[number % len(_VARIANTS)], random.choice(_PACES)
            )
            chosen = random.sample(list(lines), min(6, len(lines)))
            talk = np.concatenate([at_rate(voice.render(line, language), rate) for line in chosen])
            whole = np.resize(talk, len(self._babble))
            self._babble += np.roll(whole, random.randrange(len(whole)))
        self._babble /= np.sqrt(np.mean(self._babble**2))

    def under(self, spoken: Sound, above_db: float, length: int) -> Sound:
        """A stretch of so many samples that lies `above_db` below the level of what is spoken."""
        import numpy as np

        begin = self._random.randrange(len(self._babble))
        stretch: Sound = np.resize(np.roll(self._babble, -begin), length)
        level = speaking_level(spoken) / 10 ** (above_db / 20)
        return stretch * (level / float(np.sqrt(np.mean(stretch**2))))


def _base(language: str) -> str:
    return "en-us" if language == "en" else language


def speaking_level(sound: Sound) -> float:
    """The root mean square while somebody speaks, pauses left out."""
    import numpy as np

    frame = 320
    power = (sound[: len(sound) // frame * frame].reshape(-1, frame) ** 2).mean(axis=1)
    loud = power[power > power.max(initial=0.0) / 10 ** (_SPEAKING_DB / 10)]
    return float(np.sqrt(loud.mean())) if len(loud) else 0.0


def at_rate(clip: Clip, rate: int) -> Sound:
    """The clip's samples, of 1, at another rate, by its spectrum: nothing above half of the lower
    rate is left, and nothing below it is changed."""
    import numpy as np

    sound = np.frombuffer(clip.samples, dtype="<i2").astype(np.float64) / 32768
    if clip.rate == rate or not len(sound):
        return sound
    length = round(len(sound) * rate / clip.rate)
    spectrum = np.fft.rfft(sound)
    kept = np.zeros(length // 2 + 1, dtype=complex)
    shared = min(len(spectrum), len(kept))
    kept[:shared] = spectrum[:shared]
    made: Sound = np.fft.irfft(kept, length) * (length / len(sound))
    return made
