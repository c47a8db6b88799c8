"""The figure's real voice, as the running day uses it."""

from __future__ import annotations

from collections.abc import Callable

from showtime.fair import Speaking
from showtime.live.ports import Speech
from showtime.voice import SOFTLY, ClipStore, EmbeddedVoice, Player, VoiceError, open_player


class Voiced:
    """Words rendered ahead by a voice and played on a sound card; whatever fails, words remain."""

    def __init__(self, store: ClipStore, player: Player) -> None:
        self._store = store
        self._player = player
        self._mute = ""

    def prepare(self, text: str, language: str) -> None:
        self._store.wanted(text, language)

    def say(self, text: str, language: str, *, softly: bool) -> None:
        try:
            clip = self._store.clip(text, language)
        except VoiceError as error:
            self._mute = str(error)
            return
        self._mute = ""
        self._player.play(clip, gain=SOFTLY if softly else 1.0)

    @property
    def speaking(self) -> bool:
        return self._player.busy

    @property
    def trouble(self) -> str:
        return self._mute or self._player.trouble

    def close(self) -> None:
        self._player.close()
        self._store.close()


def open_speech(speaking: Speaking, told: Callable[[str], None]) -> Speech:
    """The voice and sound card of the settings. What is wrong with either is a line to `told`."""
    voice = EmbeddedVoice(speaking.voice, speaking.words_a_minute)
    player, trouble = open_player(speaking.device, told=told)
    for line in (trouble, _trouble_of(voice)):
        if line:
            told(line)
    return Voiced(ClipStore(voice, told=told), player)


def _trouble_of(voice: EmbeddedVoice) -> str:
    try:
        return voice.trouble
    except VoiceError as error:
        return str(error)
