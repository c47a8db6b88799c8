"""Keeps a running day going until it is ended: shows it, listens to keys, heeds signals."""

from __future__ import annotations

import signal
import threading
from datetime import datetime
from types import FrameType
from typing import Protocol

from showtime.live.clock import Clock
from showtime.live.running import RunningDay
from showtime.live.state import DayState

KEYS = {
    "l": ("late", "5"),
    "s": ("skip",),
    "h": ("hold",),
    "r": ("release",),
    "p": ("play",),
    "c": ("quiet", "10"),
    "u": ("undo",),
}
"""What single keys stand for, in the words of the keeper's orders."""


class Face(Protocol):
    """Something that shows the state; `every` is how many seconds it may go without."""

    every: float

    def show(self, state: DayState, now: datetime, note: str) -> None: ...
    def close(self) -> None: ...


class House:
    """The day, a face and the keys together. `changed` wakes the face; `end` ends the day."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._awake = threading.Event()
        self._ended = False
        self._note = ""

    def changed(self) -> None:
        self._awake.set()

    def end(self) -> None:
        self._ended = True
        self._awake.set()

    def note(self, line: str) -> None:
        """Show the keeper a line."""
        self._note = line
        self._awake.set()

    def key(self, day: RunningDay, key: str) -> None:
        """Do what the key stands for; keys that stand for nothing do nothing."""
        if key == " ":
            day.asked("key")
        elif key in ("q", "\x03", "\x04"):
            self.end()
        elif key in KEYS:
            self.note(day.tell(KEYS[key]))

    def live(self, day: RunningDay, face: Face) -> None:
        """Show the day until somebody ends it; SIGINT, SIGTERM and SIGHUP end it cleanly."""
        watched = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
        before = {number: signal.signal(number, self._signalled) for number in watched}
        try:
            while not self._ended:
                self._awake.clear()
                face.show(day.state, self._clock.now(), day.trouble or self._note)
                self._clock.wait(self._awake, self._until_next(face))
            day.end()
            face.show(day.state, self._clock.now(), day.trouble or self._note)
        finally:
            face.close()
            for number, handler in before.items():
                signal.signal(number, handler)

    def _until_next(self, face: Face) -> float:
        """Until the next full second, so that a clock on the face ticks evenly."""
        into_second = self._clock.now().microsecond / 1e6
        return face.every - into_second if face.every <= 1 else face.every

    def _signalled(self, number: int, frame: FrameType | None) -> None:
        self.end()
