"""The figure's real voice, as the settings want it: for the running day, and for one sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from showtime.fair import Manner, ShowtimeError, Speaking
from showtime.live.ports import Speech, Spoken
from showtime.voice import (
    SOFTLY,
    Channels,
    Chime,
    Clip,
    ClipStore,
    Device,
    EmbeddedVoice,
    Player,
    Voice,
    VoiceError,
    Voices,
    after_chime,
    devices,
    one_after_the_other,
    open_player,
    voices,
    write_wav,
)
from showtime.voice import Manner as VoiceManner
from showtime.wording import Sentence

Told = Callable[[str], None]
Pronounced = Mapping[str, Mapping[str, str]]
"""For each language the words that are spelt otherwise for the voice."""

Chimed = Callable[[Clip], Clip]
"""A clip to the same clip with what is heard before it."""


SoundCards = tuple[Device, ...]
VoicesThere = Voices


class SpeakingError(ShowtimeError):
    """A sentence that cannot be spoken; the message says why and what to do."""


class Voiced:
    """Words rendered ahead by a voice and played on a sound card; whatever fails, words remain."""

    def __init__(
        self, store: ClipStore, player: Player, chimed: Chimed = lambda clip: clip
    ) -> None:
        self._store = store
        self._player = player
        self._chimed = chimed
        self._mute = ""

    def prepare(self, text: str, language: str) -> None:
        self._store.wanted(text, language)

    def expect(self, said: Sequence[Spoken]) -> None:
        self._store.expected(said)

    def say(self, said: Sequence[Spoken], *, softly: bool) -> None:
        """What cannot be spoken is left out; the rest is said."""
        clips = []
        self._mute = ""
        for text, language in said:
            try:
                clips.append(self._store.clip(text, language))
            except VoiceError as error:
                self._mute = str(error)
        if clips:
            clip = one_after_the_other(clips)
            self._player.play(self._chimed(clip), gain=SOFTLY if softly else 1.0)

    @property
    def speaking(self) -> bool:
        return self._player.busy

    @property
    def trouble(self) -> str:
        return self._mute or self._player.trouble

    def close(self) -> None:
        self._player.close()
        self._store.close()


def open_speech(speaking: Speaking, pronounced: Pronounced, told: Told) -> Speech:
    """The voice and sound card of the settings. What is wrong with either is a line to `told`."""
    voice = voice_of(speaking, pronounced)
    player, trouble = open_player(speaking.device, _channels(speaking), told=told)
    for line in (trouble, *voice.troubles):
        if line:
            told(line)
    chimed = chimed_as(speaking)
    chimed(Clip(b"", 1))  # Made now, so that the first press need not wait for it.
    return Voiced(ClipStore(recorded_over(voice, speaking, told), told=told), player, chimed)


def say_now(
    speaking: Speaking, pronounced: Pronounced, said: Sequence[Sentence], told: Told
) -> None:
    """Say it and wait until it was said. What hinders that is a line to `told`; SpeakingError: no
    voice can say it."""
    clip = _clip(speaking, pronounced, said, told)
    player, trouble = open_player(speaking.device, _channels(speaking))
    if trouble:
        told(trouble)
    else:
        player.play(clip).wait_until_ended(clip.seconds + 5)
    player.close()


def record(
    speaking: Speaking, pronounced: Pronounced, said: Sequence[Sentence], file: Path, told: Told
) -> None:
    """The words as they would be said, in a sound file. SpeakingError: they cannot be."""
    clip = _clip(speaking, pronounced, said, told)
    try:
        write_wav(clip, file, _channels(speaking))
    except OSError as cause:
        why = (cause.strerror or str(cause)).lower()
        raise SpeakingError(f"{file}: the sound cannot be written there ({why})") from cause


def sound_cards() -> SoundCards:
    """The sound cards of this computer, by the names that settings may use."""
    return devices()


def voices_there(language: str = "") -> VoicesThere:
    """The embedded voices that speak a language, or all; SpeakingError: they cannot be loaded."""
    try:
        return voices(language)
    except VoiceError as cause:
        raise SpeakingError(str(cause)) from cause


def voice_of(speaking: Speaking, pronounced: Pronounced) -> EmbeddedVoice:
    """The embedded voice as the settings want it."""
    every = Manner(
        speaking.voice, speaking.words_a_minute, speaking.pitch, speaking.volume, speaking.where
    )
    return EmbeddedVoice(
        _manner(every),
        by_language={tag: _manner(one) for tag, one in speaking.by_language.items()},
        pronounced=pronounced,
    )


def recorded_over(embedded: EmbeddedVoice, speaking: Speaking, told: Told) -> Voice:
    """The voice that the maker recorded, which leaves to `embedded` what is missing of it; that
    one alone where none was recorded. `told` hears once of each thing that is missing."""
    if speaking.recorded is None:
        return embedded
    from showtime.voice.recorded import RecordedVoice
    from showtime.wording import stretches

    volume = speaking.volume / 100
    return RecordedVoice(Path(speaking.recorded), stretches, embedded, volume=volume, told=told)


def chimed_as(speaking: Speaking) -> Chimed:
    """What puts the chime of the settings before a clip."""
    chime, gain = Chime(speaking.chime.value), speaking.volume / 100
    return lambda clip: after_chime(clip, chime, gain)


def _clip(speaking: Speaking, pronounced: Pronounced, said: Sequence[Sentence], told: Told) -> Clip:
    voice = voice_of(speaking, pronounced)
    for line in voice.troubles:
        told(line)
    try:
        spoken = recorded_over(voice, speaking, told)
        clips = [spoken.render(sentence.text, sentence.language) for sentence in said]
        return chimed_as(speaking)(one_after_the_other(clips))
    except VoiceError as cause:
        raise SpeakingError(str(cause)) from cause


def _manner(of: Manner) -> VoiceManner:
    where = str(of.where) if of.voice and of.where else ""
    return VoiceManner(of.voice, of.words_a_minute, of.pitch, of.volume, where)


def _channels(speaking: Speaking) -> Channels:
    return Channels(speaking.channels.value)
