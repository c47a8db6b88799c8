"""A sentence put together from recorded fragments, so that the joins are hard to hear."""

from __future__ import annotations

import threading
from array import array
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Protocol

from showtime.voice.card import RATE
from showtime.voice.clip import Clip
from showtime.voice.embedded import Voice
from showtime.voice.levelling import amplified, faded
from showtime.voice.player import Told, told_nobody
from showtime.voice.recorded.folder import Kept, recorded_in
from showtime.voice.recorded.reading import RecordingError, read_recording
from showtime.voice.samples import added, clip_of, ramped, samples_of
from showtime.voice.synthesiser import VoiceError

CROSSFADE_S = 0.012
"""From one fragment into the next: short of a sound of speech, long enough not to click."""

SNUG_S = 0.015
"""Taken from the end of a fragment that goes on: the silence that cutting leaves there. Left in, a
recogniser heard 21 of 23 joined times; taken out 23, as many as of those spoken in one piece."""

PAUSES_S = {",": 0.16, ";": 0.22, ":": 0.22}
PAUSE_S = 0.32
"""After a sign within a sentence, and after the end of one. (Common practice: a comma is about
half a full stop.)"""


class Stretch(Protocol):
    """Words that are said in one breath, the sign after them, and how that makes them end."""

    @property
    def words(self) -> tuple[str, ...]: ...

    @property
    def sign(self) -> str: ...

    @property
    def ending(self) -> str: ...


Stretches = Callable[[str], Iterable[Stretch]]
_Key = tuple[tuple[str, ...], str]


class RecordedVoice:
    """A voice that the maker recorded in `folder`; `otherwise` says what is not recorded.

    A sentence of which any fragment is missing is said by that voice as a whole: two voices in
    one sentence are harder to understand than either. `told` hears of each missing fragment once.
    `stretches` cuts a text into what is said in one breath. Safe to use from several threads.
    """

    def __init__(
        self,
        folder: Path,
        stretches: Stretches,
        otherwise: Voice,
        *,
        volume: float = 1.0,
        told: Told = told_nobody,
    ) -> None:
        self._folder = folder
        self._stretches = stretches
        self._otherwise = otherwise
        self._volume = volume
        self._told = told
        self._said = set[str]()
        self._indexes: dict[str, dict[_Key, Path]] = {}
        self._sounds: dict[Path, array[int]] = {}
        self._lock = threading.Lock()

    def render(self, text: str, language: str) -> Clip:
        stretches = tuple(self._stretches(text))
        try:
            pieces = [self._pieces(each, language) for each in stretches]
        except VoiceError as missing:
            self._tell(str(missing))
            return self._otherwise.render(text, language)
        if not pieces:
            return self._otherwise.render(text, language)
        signs = [each.sign for each in stretches]
        samples = faded(_sentence(pieces, signs), RATE)
        return clip_of(amplified(samples, self._volume) if self._volume < 1 else samples, RATE)

    def load(self, language: str) -> int:
        """Reads all fragments of the language now, so that no answer waits for the disk; how many.
        RecordingError when the index or a file cannot be read."""
        index = self._index(language)
        for file in index.values():
            self._sound(file)
        return len(index)

    def _pieces(self, stretch: Stretch, language: str) -> list[array[int]]:
        index = self._index(language)
        found = _fewest(tuple(stretch.words), str(stretch.ending), index.__contains__)
        if found is None:
            words = " ".join(stretch.words) + stretch.sign
            raise VoiceError(
                f"not recorded: {words!r} ({language}); the built-in voice says the sentence. "
                "showtime voice check names what is missing"
            )
        return [self._sound(index[key]) for key in found]

    def _index(self, language: str) -> dict[_Key, Path]:
        with self._lock:
            if language not in self._indexes:
                self._indexes[language] = _by_words(
                    recorded_in(self._folder, language), self._stretches
                )
            return self._indexes[language]

    def _sound(self, file: Path) -> array[int]:
        with self._lock:
            sound = self._sounds.get(file)
        if sound is None:
            sound = samples_of(read_recording(file))
            with self._lock:
                self._sounds[file] = sound
        return sound

    def _tell(self, line: str) -> None:
        with self._lock:
            news = line not in self._said
            self._said.add(line)
        if news:
            self._told(line)


def _by_words(kept: Iterable[Kept], stretches: Stretches) -> dict[_Key, Path]:
    found = {}
    for each in kept:
        whole = list(stretches(each.text))
        if len(whole) == 1:
            found[tuple(whole[0].words), str(whole[0].ending)] = each.file
    return found


def _fewest(
    words: tuple[str, ...], ending: str, is_there: Callable[[_Key], bool]
) -> list[_Key] | None:
    """The fewest fragments that make the words, the longest first among equals; None: none do."""
    best: list[list[_Key] | None] = [None] * len(words) + [[]]
    for begin in range(len(words) - 1, -1, -1):
        for end in range(len(words), begin, -1):
            rest = best[end]
            key = (words[begin:end], ending if end == len(words) else "")
            if rest is None or not is_there(key):
                continue
            so_far = best[begin]
            if so_far is None or len(rest) + 1 < len(so_far):
                best[begin] = [key, *rest]
    return best[0]


def _sentence(pieces: Sequence[Sequence[array[int]]], signs: Sequence[str]) -> array[int]:
    """The stretches with a pause after each but the last."""
    whole = array("h")
    for place, (stretch, sign) in enumerate(zip(pieces, signs, strict=True)):
        for number, piece in enumerate(stretch):
            whole = _joined(whole, piece) if number else whole + piece
        if place < len(pieces) - 1:
            whole += array("h", bytes(2 * round(PAUSES_S.get(sign, PAUSE_S) * RATE)))
    return whole


def _joined(one: array[int], other: array[int]) -> array[int]:
    """One after the other, the end of the first fading into the beginning of the second."""
    one = one[: max(len(one) - round(SNUG_S * RATE), 0)]
    length = min(round(CROSSFADE_S * RATE), len(one), len(other))
    if not length:
        return one + other
    across = added(ramped(one[-length:], 1.0, 0.0), ramped(other[:length], 0.0, 1.0))
    return one[:-length] + across + other[length:]


__all__ = ["RecordedVoice", "RecordingError"]
