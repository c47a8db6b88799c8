"""Keeps a stall's days going until somebody ends it: shows them, hears orders, heeds signals."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Sequence
from datetime import datetime, time, timedelta
from types import FrameType
from typing import Protocol

from showtime.fair import instant
from showtime.live.asked import QuestionError
from showtime.live.clock import Alarms
from showtime.live.running import RunningDay
from showtime.live.state import DayState
from showtime.live.steady import Noticed, SteadyClock
from showtime.live.trust import meant

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
    """Something that shows the state; `every` is 1 when it wants to be shown it each second.

    A face that does not is shown the state when it changes.
    """

    every: float

    def show(self, state: DayState, now: datetime, note: str) -> None: ...
    def close(self) -> None: ...


class House:
    """Where a stall lives: its day, its face, its keys, and the orders from other terminals.

    `following` opens the day after the one given, when its time has come; None while it has not.
    """

    def __init__(
        self,
        clock: SteadyClock,
        alarms: Alarms,
        opened: Callable[[House], RunningDay],
        following: Callable[[RunningDay], RunningDay | None],
        closing: Callable[[], None],
    ) -> None:
        self._clock = clock
        self._alarms = alarms
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
        if verb == "clock":
            return self._set_clock(words[1:])
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
                self._look_at_the_clock()
                self._turn_the_page()
                self._show(face)
                while not self._clock.wait(self._awake, self._until_next_second()):
                    self._look_at_the_clock()
                    if face.every <= 1:
                        break
            self.day.end()
            self._show(face)
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

    def _show(self, face: Face) -> None:
        face.show(self.day.state, self._clock.now(), self.day.trouble or self._note)

    def _look_at_the_clock(self) -> None:
        noticed = self._clock.look()
        if noticed is not None:
            self._noticed(noticed)

    def _noticed(self, noticed: Noticed) -> None:
        self.day.noticed(noticed)
        self._alarms.realign()
        self.note(noticed.why)

    def _set_clock(self, words: Sequence[str]) -> str:
        """The keeper says what time it is: `14:05`, or with the date `2027-02-13T14:05`."""
        day, said = self.day.state.day, " ".join(words)
        try:
            told = time.fromisoformat(said)
            moment = meant(told, day, self._clock.now(), self._clock.trust)
        except ValueError:
            moment = self._moment(said)
        self._noticed(self._clock.set_to(moment))
        local = day.local(moment)
        return f"It is {local:%H:%M} on {local:%A %d %B}. {status(self.day.state, moment)}"

    def _moment(self, said: str) -> datetime:
        try:
            moment = datetime.fromisoformat(said)
        except ValueError:
            raise QuestionError(f"{said or 'nothing'!r} is no time; say one like 14:05") from None
        zone = self.day.state.day.signboard.timezone
        return instant(moment if moment.tzinfo else moment.replace(tzinfo=zone))

    def _until_next_second(self) -> float:
        """So that a clock on the face ticks evenly, and what befalls the clocks is seen soon."""
        return 1.0 - self._clock.now().microsecond / 1e6

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
