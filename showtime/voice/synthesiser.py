"""The one speech synthesiser of this process: pyttsx3 on the library that espeakng-loader ships.

No system package is needed. The library can be started only once in a process and is not
thread-safe, so there is one of it, behind one lock. Measured on two shared cores: 45 ms to start,
10 ms a sentence.
"""

from __future__ import annotations

import io
import os
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from showtime.voice.clip import Clip
from showtime.voice.voice_names import VoiceFile
from showtime.voice.wave_file import read_wav

VOLUME = 0.7
"""Of the synthesiser's own volume: above it, loud vowels of some voices are cut off inside it."""

ANSWER_S = 20.0
"""How long a rendering may take: a minute of speech takes 0.2 s here."""

PAUSE_S = 0.0005

LONGEST_PATH = 150
"""Bytes of a data path that the library's own memory holds; past 159 it ends the whole process."""


class VoiceError(Exception):
    """Words could not be turned into sound; the message tells the keeper why and what to do."""


class Synthesiser:
    """pyttsx3's engine without its habits: it prints nothing, starts no program, and is waited for.

    The library works through its commands, rate and volume among them, in a thread of its own.
    One that comes while it ends another is dropped, and pyttsx3 does not wait: of utterances in
    a row, one in ten had no sound. So each step here waits until the library rests.
    """

    def __init__(
        self, library: Any, engine: Any, voices: tuple[VoiceFile, ...], variants: tuple[str, ...]
    ) -> None:
        self.voices = voices
        self.variants = variants
        self._library = library
        self._engine = engine
        self._lock = threading.Lock()
        self._done = threading.Event()
        self._failures: list[BaseException] = []
        engine.connect("finished-utterance", lambda name, completed: self._done.set())
        engine.connect("error", lambda name, exception: self._failures.append(exception))

    def render(self, text: str, voice: str, words_a_minute: int) -> Clip:
        """The sound of `text` by the voice of that id; VoiceError with the cause."""
        sound = io.BytesIO()
        with self._lock:
            self._failures.clear()
            self._done.clear()
            try:
                self._engine.setProperty("volume", VOLUME)
                self._engine.setProperty("rate", words_a_minute)
                self._engine.setProperty("voice", voice)
                self._wait_until_it_rests()
                # An open file instead of a name: nothing touches the disk.
                self._engine.save_to_file(text, sound)
                self._engine.runAndWait()
                if not self._done.wait(ANSWER_S):
                    raise RuntimeError(f"no end after {ANSWER_S:g} s")
                self._wait_until_it_rests()
            except (RuntimeError, ValueError, OSError, KeyError) as cause:
                self._failures.append(cause)
            failures = list(self._failures)
        if failures:
            raise VoiceError(f"the voice {voice} failed ({failures[0]}); choose another voice")
        sound.seek(0)
        try:
            return read_wav(sound)
        except (EOFError, ValueError) as cause:
            raise VoiceError(
                f"the voice {voice} gave no sound for {text[:40]!r}; change the words"
            ) from cause

    def _wait_until_it_rests(self) -> None:
        pause = threading.Event()
        for _ in range(round(ANSWER_S / PAUSE_S)):
            if not self._library.espeak_IsPlaying():
                return
            pause.wait(PAUSE_S)
        raise RuntimeError(f"not ready after {ANSWER_S:g} s")


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
        from pyttsx3.drivers import espeak as driver
    # The driver announces each rendering on stdout, which may be a JSON document or a live screen.
    driver.print = _said_nothing
    engine = pyttsx3.init("espeak")
    engine.runAndWait()  # The first run would not wait for its utterance: let it have none.
    voices = tuple(
        VoiceFile(voice.id, voice.name, tuple(tag.lower() for tag in voice.languages))
        for voice in engine.getProperty("voices")
    )
    variants = tuple(sorted(file.name for file in Path(data, "voices", "!v").iterdir()))
    return Synthesiser(library, engine, voices, variants)


_links: list[tempfile.TemporaryDirectory[str]] = []
"""Kept until the process ends: the library reads from its data path all along."""


def _short(path: str) -> str:
    """The same folder by a path that the library's memory holds."""
    if len(os.fsencode(path)) <= LONGEST_PATH:
        return path
    _links.append(tempfile.TemporaryDirectory(prefix="voice-"))
    link = Path(_links[-1].name, "data")
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


def _said_nothing(*_words: object) -> None:
    """Takes the place of `print` in the driver."""
