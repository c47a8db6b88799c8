"""The voice that comes with the program."""

from __future__ import annotations

from typing import Protocol

from showtime.voice.clip import Clip
from showtime.voice.samples import LOUDEST, clip_of, samples_of, trimmed, with_peak
from showtime.voice.spoken_text import speakable, spoken_text
from showtime.voice.synthesiser import Synthesiser, VoiceError, synthesiser
from showtime.voice.voice_names import near_names, voice_for, voice_named

PEAK = 0.89
"""Of full scale, 1 dB below it: as loud as a sound card goes without clipping."""

SLOWEST, FASTEST = 80, 450
"""Words a minute that the synthesiser can speak."""

QUIET = LOUDEST // 300
"""What counts as silence at the ends of a rendering, 50 dB below full scale."""

LEAD_S, TAIL_S = 0.005, 0.08


class Voice(Protocol):
    """Words to sound."""

    def render(self, text: str, language: str) -> Clip:
        """`text` spoken in the language of that tag; VoiceError when it cannot be."""


class EmbeddedVoice:
    """The synthesiser's voices; nothing is loaded before the first rendering.

    `name`: a voice by id or name (gmw/en-us, en-us), with a variant if wished (en-us+croak);
    empty chooses the clearest of the language. A voice is used only for languages that it speaks.
    Every clip is brought to the same peak, 1 dB below full scale, its ends trimmed of silence.
    """

    def __init__(self, name: str = "", words_a_minute: int = 170) -> None:
        self._name = name.strip()
        self._words_a_minute = max(SLOWEST, min(FASTEST, words_a_minute))

    @property
    def trouble(self) -> str:
        """What is wrong with the voice asked for, in one line; empty when all is well.

        The default voice speaks in place of one that is missing. Loads the synthesiser.
        """
        try:
            return _missing(synthesiser(), self._name)
        except VoiceError as cause:
            return str(cause)

    def render(self, text: str, language: str) -> Clip:
        line = spoken_text(text)
        if not speakable(line):
            raise VoiceError(f"nothing to speak in {text[:40]!r}; give it words")
        speech = synthesiser()
        clip = speech.render(line, self._voice_id(speech, language), self._words_a_minute)
        return _levelled(clip)

    def _voice_id(self, speech: Synthesiser, language: str) -> str:
        base, plus, variant = self._name.partition("+")
        named = voice_named(speech.voices, base) if not _missing(speech, self._name) else None
        if named is not None and named.speaks(language):
            return f"{named.id}{plus}{variant.strip()}"
        default = voice_for(speech.voices, language)
        if default is None:
            raise VoiceError(
                f"no voice speaks the language {language!r}; use another language, "
                "or record a voice for it"
            )
        return default.id


def _missing(speech: Synthesiser, name: str) -> str:
    """The line about a voice that is not there; empty when it is, or when none was asked for."""
    base, _, variant = (part.strip() for part in name.partition("+"))
    if base and voice_named(speech.voices, base) is None:
        names = [voice.short for voice in speech.voices] + [voice.name for voice in speech.voices]
        return _no_such("voice", base, names)
    if variant and variant not in speech.variants:
        return _no_such("variant of a voice", variant, speech.variants)
    return ""


def _no_such(what: str, wanted: str, names: tuple[str, ...] | list[str]) -> str:
    near = near_names(wanted, names)
    meant = (
        f"did you mean {' or '.join(near)}?" if near else f"there are {', '.join(names[:6])} ..."
    )
    return f"there is no {what} called {wanted!r}; {meant} The default voice speaks instead"


def _levelled(clip: Clip) -> Clip:
    samples = trimmed(samples_of(clip), QUIET, round(LEAD_S * clip.rate), round(TAIL_S * clip.rate))
    if not samples:
        raise VoiceError("the voice gave only silence; choose another voice")
    return clip_of(with_peak(samples, round(PEAK * LOUDEST)), clip.rate)
