"""Clips rendered ahead in the background, so that an answer is ready when it is asked for."""

from __future__ import annotations

import atexit
import threading
from collections import OrderedDict, deque
from dataclasses import dataclass

from showtime.voice.clip import Clip
from showtime.voice.embedded import Voice
from showtime.voice.player import Told, told_nobody
from showtime.voice.synthesiser import VoiceError


@dataclass(frozen=True, slots=True)
class Failure:
    """Words that could not be rendered ahead, and why."""

    text: str
    language: str
    why: str


class ClipStore:
    """Keeps the clips asked for last, up to `most_bytes` of samples.

    `told` hears, from the background thread, each different reason why rendering ahead failed,
    once. Close the store.
    """

    MOST_WAITING = 200
    MOST_FAILURES = 50

    def __init__(
        self, voice: Voice, *, most_bytes: int = 16_000_000, told: Told = told_nobody
    ) -> None:
        self._voice = voice
        self._most_bytes = most_bytes
        self._told = told
        self._ready: OrderedDict[tuple[str, str], Clip] = OrderedDict()
        self._bytes = 0
        self._waiting: deque[tuple[str, str]] = deque(maxlen=self.MOST_WAITING)
        self._failures: deque[Failure] = deque(maxlen=self.MOST_FAILURES)
        self._rendering: tuple[str, str] | None = None
        self._changed = threading.Condition()
        self._thread: threading.Thread | None = None
        self._closed = False

    @property
    def failures(self) -> tuple[Failure, ...]:
        """The latest failures of rendering ahead, the oldest first."""
        with self._changed:
            return tuple(self._failures)

    @property
    def bytes_held(self) -> int:
        """The samples kept at present."""
        with self._changed:
            return self._bytes

    def wanted(self, text: str, language: str) -> None:
        """Render `text` soon, in the background. Of too many, the oldest wishes are forgotten."""
        key = (text, language)
        with self._changed:
            if self._closed or key in self._ready or key in self._waiting or key == self._rendering:
                return
            self._waiting.append(key)
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="clips", daemon=True)
                self._thread.start()
                atexit.register(self.close)
            self._changed.notify_all()

    def is_ready(self, text: str, language: str) -> bool:
        """True when `clip` would return at once."""
        with self._changed:
            return (text, language) in self._ready

    def clip(self, text: str, language: str) -> Clip:
        """The clip, at once when it is ready, else rendered now. VoiceError when it cannot be."""
        key = (text, language)
        with self._changed:
            self._changed.wait_for(lambda: self._rendering != key)
            if key in self._ready:
                self._ready.move_to_end(key)
                return self._ready[key]
            if key in self._waiting:
                self._waiting.remove(key)
        clip = self._voice.render(text, language)
        with self._changed:
            self._keep(key, clip)
        return clip

    def close(self) -> None:
        """End the background thread; `clip` still renders."""
        with self._changed:
            self._closed = True
            self._waiting.clear()
            self._changed.notify_all()
        if self._thread is not None:
            self._thread.join()
            atexit.unregister(self.close)

    def _work(self) -> None:
        """The background thread."""
        while (key := self._next()) is not None:
            clip: Clip | None = None
            failure: Failure | None = None
            try:
                clip = self._voice.render(*key)
            except VoiceError as cause:
                failure = Failure(*key, str(cause))
            with self._changed:
                self._rendering = None
                news = failure is not None and self._is_news(failure)
                if clip is not None:
                    self._keep(key, clip)
                if failure is not None:
                    self._failures.append(failure)
                self._changed.notify_all()
            if failure is not None and news:
                self._told(failure.why)

    def _next(self) -> tuple[str, str] | None:
        """The next wish, as soon as there is one; None when the store closes."""
        with self._changed:
            self._changed.wait_for(lambda: self._waiting or self._closed)
            if self._closed:
                return None
            self._rendering = self._waiting.popleft()
            return self._rendering

    def _is_news(self, failure: Failure) -> bool:
        return all(known.why != failure.why for known in self._failures)

    def _keep(self, key: tuple[str, str], clip: Clip) -> None:
        """Add the clip, and let go of those not asked for longest."""
        if key not in self._ready:
            self._ready[key] = clip
            self._bytes += len(clip.samples)
        while self._bytes > self._most_bytes and self._ready:
            _, oldest = self._ready.popitem(last=False)
            self._bytes -= len(oldest.samples)
