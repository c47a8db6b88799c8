"""The one speech synthesiser of this process: pyttsx3 on the library that espeakng-loader ships.

No system package is needed. The library can be started only once in a process and is not
thread-safe, so there is one of it, behind one lock. Measured on two shared cores: 50 ms to start,
2.5 ms a sentence.

pyttsx3 finds the voices and sets them; its way to speak is passed over. It prints, starts another
program to play, and lets the library work through rate, volume and text in a thread of its own,
which drops what comes while it ends something else: of utterances in quick succession up to one
in ten had no sound, and some had another utterance's pace. Here the library works in the thread
that asks, and is done when it returns.
"""

from __future__ import annotations

import atexit
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from showtime.voice.card import RATE
from showtime.voice.clip import Clip
from showtime.voice.manner import FASTEST
from showtime.voice.voice_names import VoiceFile

VOLUME = 0.7
"""Of the synthesiser's own volume: above it, loud vowels of some voices are cut off inside it."""

OWN_HEIGHT = (50, 50)
"""A voice's own pitch and melody."""

LONGEST_PATH = 150
"""Bytes of a data path that the library's own memory holds; past 159 it ends the whole process."""


class VoiceError(Exception):
    """Words could not be turned into sound; the message tells the keeper why and what to do."""


class Synthesiser:
    """What `synthesiser()` gives: the voices there are, and speech by one of them."""

    def __init__(
        self, engine: Any, binding: Any, voices: tuple[VoiceFile, ...], variants: tuple[str, ...]
    ) -> None:
        self.voices = voices
        self.variants = variants
        self._engine = engine
        self._binding = binding
        self._lock = threading.Lock()
        self._sound = bytearray()
        self._failures: list[Exception] = []
        engine.connect("error", lambda name, exception: self._failures.append(exception))
        binding.SetSynthCallback(self._take)

    def render(
        self,
        text: str,
        voice: str,
        words_a_minute: int,
        *,
        height: tuple[int, int] = OWN_HEIGHT,
        phonemes: bool = False,
    ) -> Clip:
        """The sound of `text` by the voice of that id; VoiceError with the cause.

        `height`: base pitch and melody. `phonemes`: what stands in [[ ]] is in phonemes.
        """
        with self._lock:
            self._set(voice, words_a_minute, height)
            self._speak(text, phonemes)
            if self._failures:
                raise VoiceError(
                    f"the voice {voice} failed ({self._failures[0]}); choose another voice"
                )
            return Clip(bytes(self._sound), RATE)

    def reads_back(self, phonemes: str, voice: str) -> str:
        """What that voice makes of phonemes in [[ ]]: it stops at one that it does not know."""
        import ctypes

        with self._lock:
            self._set(voice, FASTEST, OWN_HEIGHT)
            # Only speaking with phonemes opens the library's reader to them.
            self._speak("a", phonemes=True)
            reader = self._binding.dll.espeak_TextToPhonemes
            reader.restype = ctypes.c_char_p
            text = ctypes.c_char_p(phonemes.encode())
            read = reader(ctypes.byref(text), self._binding.CHARS_UTF8, 0)
        return (read or b"").decode(errors="replace")

    def _set(self, voice: str, words_a_minute: int, height: tuple[int, int]) -> None:
        self._failures.clear()
        for name, value in (
            ("volume", VOLUME),
            ("rate", words_a_minute),
            ("voice", voice),
            ("pitch", height[0]),
        ):
            self._engine.setProperty(name, value)
        self._binding.SetParameter(self._binding.RANGE, height[1], 0)

    def _speak(self, text: str, phonemes: bool) -> None:
        self._sound.clear()
        if self._failures:
            return
        flags = self._binding.CHARS_UTF8 | (self._binding.PHONEMES if phonemes else 0)
        refused = self._binding.Synth(text, flags=flags)
        if refused:
            self._failures.append(RuntimeError(f"refused with {refused}"))

    def _take(self, samples: Any, count: int, _events: Any) -> int:
        """The library's callback: keep this much of the sound, and go on."""
        import ctypes

        if samples and count > 0:
            self._sound += ctypes.string_at(samples, count * 2)
        return 0


_only: Synthesiser | None = None
_starting = threading.Lock()


def synthesiser() -> Synthesiser:
    """The process's synthesiser, started on first use; VoiceError when it cannot be."""
    global _only
    with _starting:
        if _only is None:
            try:
                _only = _started()
            except (ImportError, OSError, RuntimeError, AttributeError, ValueError) as cause:
                raise VoiceError(
                    f"the speaking voice cannot be loaded ({cause}); install it again with "
                    "python -m pip install --force-reinstall pyttsx3 espeakng-loader"
                ) from cause
        return _only


def _started() -> Synthesiser:
    import ctypes

    import espeakng_loader

    data = espeakng_loader.get_data_path()
    if not Path(data, "phontab").is_file():
        # The library would not refuse: it would end the whole process.
        raise OSError(f"{data} is incomplete")
    library = ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    os.environ["ESPEAK_DATA_PATH"] = _short(data)
    with _handed_over(library):
        import pyttsx3
        from pyttsx3.drivers import _espeak as binding
    binding.AUDIO_OUTPUT_RETRIEVAL = binding.AUDIO_OUTPUT_SYNCHRONOUS
    engine = pyttsx3.init("espeak")
    engine.runAndWait()  # Once, with nothing to say: from then on it takes settings at once.
    listed = (
        VoiceFile(voice.id, voice.name, tuple(tag.lower() for tag in voice.languages))
        for voice in engine.getProperty("voices")
    )
    voices = tuple(voice for voice in listed if _has_words(voice, Path(data)))
    variants = tuple(sorted(file.name for file in Path(data, "voices", "!v").iterdir()))
    return Synthesiser(engine, binding, voices, variants)


def _has_words(voice: VoiceFile, data: Path) -> bool:
    """False for a voice that is listed but has no dictionary: it would be silent."""
    if Path(data, f"{voice.short.partition('-')[0]}_dict").is_file():
        return True
    described = Path(data, "lang", voice.id)
    text = described.read_text("utf-8") if described.is_file() else ""
    named = [line.split()[1:2] for line in text.splitlines() if line.startswith("dictionary")]
    return any(Path(data, f"{name}_dict").is_file() for words in named for name in words)


def _short(path: str) -> str:
    """The same folder by a path that the library holds, for as long as the process runs."""
    if len(os.fsencode(path)) <= LONGEST_PATH:
        return path
    import tempfile

    folder = tempfile.TemporaryDirectory(prefix="voice-")
    atexit.register(folder.cleanup)
    link = Path(folder.name, "data")
    link.symlink_to(path, target_is_directory=True)
    return str(link)


@contextmanager
def _handed_over(library: Any) -> Iterator[None]:
    """While pyttsx3 looks for the synthesiser's library, let it find `library`.

    It tries places that only some systems have, and one that is installed there would not fit
    the data that espeakng-loader ships.
    """
    import ctypes

    looks = ctypes.cdll.LoadLibrary
    loader: Any = ctypes.cdll
    loader.LoadLibrary = lambda name: library if "espeak" in str(name).lower() else looks(name)
    try:
        yield
    finally:
        del loader.LoadLibrary
