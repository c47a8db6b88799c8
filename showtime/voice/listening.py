"""How well a stranger understands a voice: a speech recogniser listens to it, also in a crowd.

It hears a clip as a microphone would: at 16 kHz, at a usual level, with half a second of a quiet
room before and after and that room's noise beneath. (Common practice: in perfect digital silence,
which no microphone gives, a recogniser loses the soft ends of words.) It expects one of the
phrases it was told, as a visitor who asked for a time expects one. It speaks English only, since
that is the model it brings.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from showtime.voice.clip import Clip
from showtime.voice.embedded import Voice
from showtime.voice.listening_crowd import Crowd, at_rate
from showtime.voice.synthesiser import VoiceError

RATE = 16_000
LANGUAGE = "en"

_LEVEL = 0.3
_ROOM = 60.0 / 32768
_SILENCE_S = 0.5

Decibels = float | None
"""How far the voice is above the crowd; None without a crowd."""


class ListeningError(VoiceError):
    """Nobody can listen; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Heard:
    """A phrase as it was spoken, and as it was understood: "" when not at all. `right`: what was
    understood means the same."""

    spoken: str
    above_crowd_db: Decibels
    heard: str
    right: bool


def can_listen(language: str) -> None:
    """ListeningError when nobody can listen to that language here."""
    if language.partition("-")[0] != LANGUAGE:
        raise ListeningError(
            f"the recogniser understands English only, not {language!r}; ask somebody who speaks it"
        )
    if importlib.util.find_spec("pocketsphinx") is None:
        raise ListeningError(
            "listening needs a recogniser: python -m pip install 'showtime[listen]'"
        )


def listened(
    voice: Voice,
    spoken: Iterable[str],
    meanings: Mapping[str, object],
    levels: Sequence[Decibels],
    crowd: Crowd | None = None,
) -> Iterator[Heard]:
    """Each phrase as `voice` speaks it and a stranger hears it, once for each level.

    `meanings` are all the phrases that the stranger expects, with what they mean; those spoken
    are among them. Levels other than None need a `crowd`.
    """
    can_listen(LANGUAGE)
    stranger = Stranger(meanings)
    by_sound = {as_heard(phrase): meaning for phrase, meaning in meanings.items()}
    for phrase in spoken:
        clip = voice.render(phrase, LANGUAGE)
        for level in levels:
            heard = stranger.hear(clip, level, crowd)
            yield Heard(phrase, level, heard, by_sound.get(heard) == meanings[phrase])


def as_heard(phrase: str) -> str:
    """A phrase as the recogniser writes it: small letters, no signs."""
    plain = "".join(" " if letter in "-,;:.!?" else letter for letter in phrase)
    return " ".join(plain.casefold().split())


class Stranger:
    """A recogniser that expects one of some phrases. ListeningError: a word is unknown to it."""

    def __init__(self, phrases: Iterable[str]) -> None:
        import numpy as np

        self._room = np.random.default_rng(1)
        self._decoder = _decoder([as_heard(phrase) for phrase in phrases])

    def hear(self, clip: Clip, above_crowd_db: Decibels = None, crowd: Crowd | None = None) -> str:
        """What is understood of the clip; "" when nothing is."""
        import numpy as np

        spoken = at_rate(clip, RATE)
        silence = np.zeros(round(_SILENCE_S * RATE))
        sound = np.concatenate([silence, spoken, silence]) * _LEVEL
        if above_crowd_db is not None:
            if crowd is None:
                raise ValueError("a level above the crowd needs a crowd")
            sound = sound + crowd.under(spoken * _LEVEL, above_crowd_db, len(sound))
        sound = sound + self._room.normal(0, _ROOM, len(sound))
        loudest = float(np.abs(sound).max())
        samples = sound / max(loudest, 1.0) * 32767
        self._decoder.start_utt()
        self._decoder.process_raw(samples.astype("<i2").tobytes(), full_utt=True)
        self._decoder.end_utt()
        understood = self._decoder.hyp()
        return str(understood.hypstr) if understood else ""


def _decoder(phrases: Sequence[str]) -> Any:
    """The recogniser, which reads its grammar (JSGF) from a file."""
    import tempfile

    from pocketsphinx import Decoder, get_model_path

    model = Path(get_model_path("en-us"))
    known = model / "cmudict-en-us.dict"
    _all_known(phrases, known)
    with tempfile.TemporaryDirectory() as folder:
        grammar = Path(folder) / "phrases.gram"
        said = " | ".join(phrases)
        grammar.write_text(f"#JSGF V1.0;\ngrammar phrases;\npublic <phrase> = {said};\n")
        try:
            return Decoder(
                hmm=str(model / "en-us"),
                dict=str(known),
                jsgf=str(grammar),
                lm=None,
                samprate=float(RATE),
                loglevel="FATAL",
            )
        except RuntimeError as cause:
            raise ListeningError(f"the recogniser does not start: {cause}") from cause


def _all_known(phrases: Sequence[str], dictionary: Path) -> None:
    words = {word for phrase in phrases for word in phrase.split()}
    with dictionary.open(encoding="utf-8") as lines:
        words.difference_update(line.partition(" ")[0] for line in lines)
    if words:
        raise ListeningError(
            f"the recogniser does not know these words: {', '.join(sorted(words))}"
        )
