"""Keeps a stall's days going until somebody ends it: shows them, hears orders, heeds signals."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
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
    """Where a stall lives: its day, its face, its keys, and the orders from other terminals.

    `following` opens the day after the one given, when its time has come; None while it has not.
    """

    def __init__(
        self,
        clock: Clock,
        opened: Callable[[House], RunningDay],
        following: Callable[[RunningDay], RunningDay | None],
        closing: Callable[[], None],
    ) -> None:
        self._clock = clock
        self._following = following
        self._closing = closing
        self._awake = threading.Event()
        self._ended = False
        self._note = ""
        self.day = opened(self)

    def changed(self) -> None:
        self._awake.set()

    def end(self) -> None:
        self._ended = True
        self._awake.set()

    def note(self, line: str) -> None:
        """Show the keeper a line."""
        self._note = line
        self._awake.set()

    def key(self, key: str) -> None:
        """Do what the key stands for; keys that stand for nothing do nothing."""
        if key == " ":
            self.day.asked("key")
        elif key in ("q", "\x03", "\x04"):
            self.end()
        elif key in KEYS:
            self.note(self.day.tell(KEYS[key]))

    def tell(self, words: Sequence[str]) -> str:
        """An order from another terminal. QuestionError when it means nothing."""
        verb = words[0].lower() if words else ""
        if verb == "ask":
            return self.day.asked(" ".join(words[1:]) or "tell").text
        if verb == "would":
            return self.day.would(words[1:])
        if verb == "status":
            return status(self.day.state, self._clock.now())
        if verb == "end":
            self.end()
            return "The day ends."
        said = self.day.tell(words)
        self.note(said)
        return said

    def live(self, face: Face) -> None:
        """Show the days until somebody ends it; SIGINT, SIGTERM and SIGHUP end it cleanly."""
        watched = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
        before = {number: signal.signal(number, self._signalled) for number in watched}
        try:
            while not self._ended:
                self._awake.clear()
                self._turn_the_page()
                face.show(self.day.state, self._clock.now(), self.day.trouble or self._note)
                self._clock.wait(self._awake, self._until_next(face))
            self.day.end()
            face.show(self.day.state, self._clock.now(), self.day.trouble or self._note)
        finally:
            face.close()
            self._closing()
            for number, handler in before.items():
                signal.signal(number, handler)

    def _turn_the_page(self) -> None:
        following = self._following(self.day)
        if following is not None:
            self.day.end()
            self.day = following

    def _until_next(self, face: Face) -> float:
        """Until the next full second, so that a clock on the face ticks evenly."""
        into_second = self._clock.now().microsecond / 1e6
        return face.every - into_second if face.every <= 1 else face.every

    def _signalled(self, number: int, frame: FrameType | None) -> None:
        self.end()


def status(state: DayState, now: datetime) -> str:
    """The day in a line: the time, the stage, what comes next."""
    if state.doubt:
        return f"The time is not known: {state.doubt}. Set it: showtime tell clock 14:05"
    coming = state.next
    told = f"next {state.day.local(coming.starts):%H:%M} {coming.piece}" if coming else "none left"
    held = f" ({state.hold})" if state.hold else ""
    minutes = (coming.starts - now) // timedelta(minutes=1) if coming else 0
    soon = f" in {minutes} min" if coming and minutes >= 0 else ""
    return f"{state.day.local(now):%H:%M:%S} {state.stage}{held}, {told}{soon}"
