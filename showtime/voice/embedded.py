"""The voice that comes with the program."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from showtime.voice.clip import Clip
from showtime.voice.levelling import FADE_S, amplified, faded, levelled
from showtime.voice.manner import Manner
from showtime.voice.pronouncing import Pronunciation
from showtime.voice.samples import clip_of, peak, samples_of, trimmed
from showtime.voice.spoken_text import speakable, spoken_text
from showtime.voice.synthesiser import Synthesiser, VoiceError, synthesiser
from showtime.voice.voice_names import (
    Voices,
    in_language,
    near_names,
    voice_for,
    voice_named,
)

QUIET = 1 / 300
"""Of its peak: what counts as silence at the ends of a rendering, 50 dB below."""

LEAD_S, TAIL_S = FADE_S, 0.08
"""Silence left before and after, so that no sound of speech is faded."""


class Voice(Protocol):
    """Words to sound."""

    def render(self, text: str, language: str) -> Clip:
        """`text` spoken in the language of that tag; VoiceError when it cannot be."""


class EmbeddedVoice:
    """The synthesiser's voices; nothing is loaded before the first rendering.

    `manner`: how it speaks, or only which voice; `by_language`: how it speaks a language, in place
    of that. A voice is used only for languages that it speaks. `pronounced`: for each language the
    words that are spelt otherwise for the voice. Every clip is brought to the same loudness, its
    ends trimmed of silence and faded.
    """

    def __init__(
        self,
        manner: Manner | str = "",
        words_a_minute: int = 170,
        *,
        by_language: Mapping[str, Manner] | None = None,
        pronounced: Mapping[str, Mapping[str, str]] | None = None,
    ) -> None:
        self._manner = Manner(manner, words_a_minute) if isinstance(manner, str) else manner
        self._by_language = dict(by_language or {})
        self._pronounced = {tag: dict(table) for tag, table in (pronounced or {}).items()}
        self._pronunciations: dict[str, Pronunciation] = {}

    @property
    def trouble(self) -> str:
        """What is wrong with it, in one line; empty when all is well. Loads the synthesiser."""
        return next(iter(self.troubles), "")

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each voice asked for that is not there: the default one speaks instead; and
        for each word that the voice cannot say as its table wants it: it is spoken as written."""
        try:
            speech = synthesiser()
        except VoiceError as cause:
            return (str(cause),)
        lines = [_missing(speech, manner) for manner in (self._manner, *self._by_language.values())]
        for language in self._pronounced:
            if voice_for(speech.voices, language) is not None:
                lines += self._pronunciation(speech, language).wrong
        return tuple(dict.fromkeys(filter(None, lines)))

    def render(self, text: str, language: str) -> Clip:
        line = spoken_text(text)
        if not speakable(line):
            raise VoiceError(f"nothing to speak in {text[:40]!r}; give it words")
        speech = synthesiser()
        manner = self._manner_in(language)
        spoken, phonemes = self._pronunciation(speech, language).spoken(line)
        clip = speech.render(
            spoken,
            self._voice_id(speech, language),
            manner.pace,
            height=manner.height,
            phonemes=phonemes,
        )
        return _finished(clip, manner.gain)

    def _manner_in(self, language: str) -> Manner:
        return in_language(self._by_language, language) or self._manner

    def _pronunciation(self, speech: Synthesiser, language: str) -> Pronunciation:
        if language not in self._pronunciations:
            voice = self._voice_id(speech, language)
            self._pronunciations[language] = Pronunciation.of(
                in_language(self._pronounced, language) or {},
                language,
                lambda phonemes: speech.reads_back(phonemes, voice),
            )
        return self._pronunciations[language]

    def _voice_id(self, speech: Synthesiser, language: str) -> str:
        manner = self._manner_in(language)
        base, plus, variant = manner.name.strip().partition("+")
        named = voice_named(speech.voices, base) if not _missing(speech, manner) else None
        if named is not None and named.speaks(language):
            return f"{named.id}{plus}{variant.strip()}"
        default = voice_for(speech.voices, language)
        if default is None:
            raise VoiceError(
                f"no voice speaks the language {language!r}; use another language, "
                "or record a voice for it"
            )
        return default.id


def voices(language: str = "") -> Voices:
    """The voices that there are, or that speak a language; VoiceError: none can be loaded."""
    speech = synthesiser()
    speaking = [each for each in speech.voices if not language or each.speaks(language)]
    chosen = voice_for(speech.voices, language) if language else None
    return Voices(tuple(speaking), speech.variants, chosen)


def _missing(speech: Synthesiser, manner: Manner) -> str:
    """The line about a voice that is not there; empty when it is, or when none was asked for."""
    base, _, variant = (part.strip() for part in manner.name.partition("+"))
    place = f"{manner.where}: " if manner.where else ""
    if base and voice_named(speech.voices, base) is None:
        names = [voice.short for voice in speech.voices] + [voice.name for voice in speech.voices]
        return place + _no_such("voice", base, names)
    if variant and variant not in speech.variants:
        return place + _no_such("variant of a voice", variant, speech.variants)
    return ""


def _no_such(what: str, wanted: str, names: tuple[str, ...] | list[str]) -> str:
    near = near_names(wanted, names)
    meant = (
        f"did you mean {' or '.join(near)}?" if near else f"there are {', '.join(names[:6])} ..."
    )
    return f"there is no {what} called {wanted!r}; {meant} The default voice speaks instead"


def _finished(clip: Clip, gain: float) -> Clip:
    """Trimmed, levelled and faded; VoiceError when there is nothing to hear."""
    samples = samples_of(clip)
    quiet = max(int(QUIET * peak(samples)), 1)
    cut = trimmed(samples, quiet, round(LEAD_S * clip.rate), round(TAIL_S * clip.rate))
    if not cut:
        raise VoiceError("the voice gave only silence; choose another voice")
    level = levelled(cut, clip.rate)
    return clip_of(faded(level if gain == 1 else amplified(level, gain), clip.rate), clip.rate)
