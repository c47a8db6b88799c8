"""Clips rendered ahead in the background, so that an answer is ready when it is asked for."""

from __future__ import annotations

import atexit
import sys
import threading
from collections import OrderedDict, deque
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice

from showtime.voice.clip import Clip
from showtime.voice.embedded import Voice
from showtime.voice.player import Told, told_nobody
from showtime.voice.synthesiser import VoiceError

LEAVING_S = 0.3
"""How long the end of the program waits for a clip that nobody will hear."""

TURN_S = 0.001
"""How long a thread that computes may keep others waiting, where there is one that renders. At
the interpreter's own 5 ms the first sample of a clip that is there comes up to twice as late."""

_Key = tuple[str, str]
"""Text and language. With the store's one voice and its settings, all that makes a clip's sound."""


@dataclass(frozen=True, slots=True)
class Failure:
    """Words that could not be rendered ahead, and why."""

    text: str
    language: str
    why: str


class ClipStore:
    """Keeps the clips that are expected and those asked for last, up to `most_bytes` of samples.

    Rendered first is what somebody waits for, then what is `wanted`, then what is `expected`, the
    soonest first. `told` hears, from the background thread, each different reason why rendering
    ahead failed, once. Nothing is kept on disk: sentences hardly ever come again, and a new one is
    rendered in a few hundredths of a second. Close the store.
    """

    MOST_WAITING = 200
    MOST_EXPECTED = 1000
    MOST_FAILURES = 50

    def __init__(
        self, voice: Voice, *, most_bytes: int = 16_000_000, told: Told = told_nobody
    ) -> None:
        self._voice = voice
        self._most_bytes = most_bytes
        self._told = told
        self._ready: OrderedDict[_Key, Clip] = OrderedDict()
        self._bytes = 0
        self._wanted: deque[_Key] = deque(maxlen=self.MOST_WAITING)
        self._expected: dict[_Key, None] = {}
        self._failures: deque[Failure] = deque(maxlen=self.MOST_FAILURES)
        self._rendering: _Key | None = None
        self._waited_for = 0
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
            if key not in self._ready and key not in self._wanted and key != self._rendering:
                self._wanted.append(key)
                self._set_to_work()

    def expected(self, answers: Iterable[tuple[str, str]]) -> None:
        """What may be asked for, as (text, language), the soonest first, in place of what was
        expected before.

        Rendered when nothing else is to do, and kept before all other clips. When they are more
        than there is room for, the latest are left out.
        """
        with self._changed:
            self._expected = dict.fromkeys(islice(answers, self.MOST_EXPECTED))
            self._set_to_work()

    def is_ready(self, text: str, language: str) -> bool:
        """True when `clip` would return at once."""
        with self._changed:
            return (text, language) in self._ready

    def clip(self, text: str, language: str) -> Clip:
        """The clip, at once when it is ready, else rendered now. VoiceError when it cannot be.

        While somebody waits here, nothing is begun in the background.
        """
        key = (text, language)
        with self._changed:
            self._changed.wait_for(lambda: self._rendering != key)
            if key in self._ready:
                self._ready.move_to_end(key)
                return self._ready[key]
            if key in self._wanted:
                self._wanted.remove(key)
            self._waited_for += 1
        try:
            clip = self._voice.render(text, language)
        finally:
            with self._changed:
                self._waited_for -= 1
                self._changed.notify_all()
        with self._changed:
            self._keep(key, clip)
        return clip

    def close(self, within: float | None = None) -> None:
        """End the background thread, waiting so many seconds at most; `clip` still renders."""
        with self._changed:
            self._closed = True
            self._wanted.clear()
            self._expected.clear()
            self._changed.notify_all()
        if self._thread is not None:
            self._thread.join(within)
            atexit.unregister(self._leave)

    def _leave(self) -> None:
        self.close(LEAVING_S)

    def _set_to_work(self) -> None:
        if self._closed:
            return
        if self._thread is None:
            sys.setswitchinterval(min(sys.getswitchinterval(), TURN_S))
            self._thread = threading.Thread(target=self._work, name="clips", daemon=True)
            self._thread.start()
            atexit.register(self._leave)
        self._changed.notify_all()

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
                    self._expected.pop(key, None)
                self._changed.notify_all()
            if failure is not None and news:
                self._told(failure.why)

    def _next(self) -> _Key | None:
        """What to render next, as soon as there is something; None when the store closes."""
        with self._changed:
            while not self._closed:
                self._rendering = None if self._waited_for else self._first()
                if self._rendering is not None:
                    return self._rendering
                self._changed.wait()
            return None

    def _first(self) -> _Key | None:
        if self._wanted:
            return self._wanted.popleft()
        return next((key for key in self._expected if key not in self._ready), None)

    def _is_news(self, failure: Failure) -> bool:
        return all(known.why != failure.why for known in self._failures)

    def _keep(self, key: _Key, clip: Clip) -> None:
        """Add the clip, and let go of others until there is room for all that are kept."""
        if key not in self._ready:
            self._ready[key] = clip
            self._bytes += len(clip.samples)
        while self._bytes > self._most_bytes:
            least = self._least()
            self._bytes -= len(self._ready.pop(least).samples)
            # Not to be rendered again, only to be let go of again.
            self._expected.pop(least, None)

    def _least(self) -> _Key:
        """The clip that is missed least: not asked for longest, else the latest expected one."""
        unexpected = next((key for key in self._ready if key not in self._expected), None)
        if unexpected is not None:
            return unexpected
        return next(key for key in reversed(self._expected) if key in self._ready)
