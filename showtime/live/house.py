"""Keeps a stall's days going until somebody ends it: shows them, hears orders, heeds signals."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Sequence
from datetime import datetime
from types import FrameType
from typing import Protocol

from showtime.fair import Day, ShowtimeError
from showtime.live.clock import Alarms, Clock
from showtime.live.clock.steady import Noticed, SteadyClock
from showtime.live.clock.trust import Doubted
from showtime.live.hands import Hands
from showtime.live.keeper.line import OPENS, Line, forms, typed
from showtime.live.keeper.settime import cost, moment_said
from showtime.live.running import RunningDay
from showtime.live.state import DayState
from showtime.live.status import status

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

    A face that does not is shown the state when it changes. `note` is a line for the keeper,
    `line` what the keeper is typing, if anything.
    """

    every: float

    def show(self, state: DayState, now: datetime, note: str, line: Line | None) -> None: ...
    def close(self) -> None: ...


class Pages(Protocol):
    """The days one after the other."""

    def following(self, running: RunningDay) -> RunningDay | None:
        """The next day, opened, when its time has come; None while it has not."""

    def turns_to(self, day: Day, now: datetime) -> Day | None:
        """The day that follows `day` by `now`, if any."""


REACHED = "The hall is reached."
"""What the keeper is told when it is, after it was not."""

_AGAIN_WITHIN = 60.0
"""Seconds within which an order that costs much is to be said again, if it is meant."""

_LEFT_OPEN = 60.0
"""After so many seconds without a key the line is closed: the keeper has gone, visitors ask."""


class House:
    """Where a stall lives: its day, its face, its keys, and the orders from other terminals."""

    def __init__(
        self,
        clock: SteadyClock,
        alarms: Alarms,
        opened: Callable[[House], RunningDay],
        pages: Pages,
        closing: Callable[[], None],
    ) -> None:
        self._clock = clock
        self._alarms = alarms
        self._pages = pages
        self._closing = closing
        self._awake = threading.Event()
        self._ended = False
        self._note = ""
        self._line: Line | None = None
        self._touched = clock.monotonic()
        self._costly: tuple[datetime, float] | None = None
        self._cut_off = ""
        self._watching: list[Callable[[], None]] = []
        self.hands = Hands(self, clock)
        self.day = opened(self)

    @property
    def line(self) -> Line | None:
        """What the keeper is typing; None while no line is open."""
        return self._line

    @property
    def shown(self) -> str:
        """The line that the keeper is shown."""
        return self.day.trouble or self._note

    @property
    def clock(self) -> Clock:
        """What the day goes by."""
        return self._clock

    def watch(self, seen: Callable[[], None]) -> None:
        """Call `seen` whenever something has changed; it must not wait for anything."""
        self._watching.append(seen)

    def changed(self) -> None:
        self._awake.set()
        for seen in self._watching:
            seen()

    def end(self) -> None:
        self._ended = True
        self._awake.set()

    def note(self, line: str) -> None:
        """Show the keeper a line."""
        self._note = line
        self._awake.set()

    def key(self, key: str) -> None:
        """Do what the key stands for; keys that stand for nothing do nothing.

        While a line is open, keys are typed into it. Before anything is typed a space still asks.
        """
        self._touched = self._clock.monotonic()
        if key == " " and not (self._line and self._line.text):
            self.day.asked("key")
        elif self._line is not None:
            self._type(self._line, key)
        elif key == OPENS:
            self._show_line(Line("", forms("")))
        elif key in ("q", "\x03", "\x04"):
            self.end()
        elif key in KEYS:
            self.note(self.day.tell(KEYS[key]))

    def tell(self, words: Sequence[str]) -> str:
        """An order in words. QuestionError when it means nothing."""
        verb = words[0].lower() if words else ""
        if verb == "ask":
            return self.day.asked(" ".join(words[1:]) or "tell").whole
        if verb == "would":
            return self._would(words[1:])
        if verb == "status":
            said = status(self.day.state, self._clock.now())
            return "; ".join(filter(None, (said, self.day.neighbours.trouble)))
        if verb == "clock":
            said = self._set_clock(words[1:])
        elif verb == "end":
            self.end()
            return "The day ends."
        else:
            said = self.day.tell(words)
        self.note(said)
        return said

    def _would(self, words: Sequence[str]) -> str:
        if not words or words[0].lower() != "clock":
            return self.day.would(words)
        moment = self._moment(words[1:])
        lost = self._cost(moment)
        return f"It becomes {self._told(moment)}." + (f" That would {lost}." if lost else "")

    def _type(self, line: Line, key: str) -> None:
        after = typed(line, key)
        if after is None:
            self._show_line(None)
        elif after.done:
            self._do_line(after)
        elif after.text != line.text:
            self._show_line(self._hinted(after))

    def _do_line(self, line: Line) -> None:
        """Enter: what was typed is done, or the line stays and says what is wrong with it."""
        try:
            said = self.tell(line.words)
        except ShowtimeError as error:
            self._show_line(Line(line.text, str(error), wrong=True))
            return
        self._show_line(None)
        self.note(said)

    def _hinted(self, line: Line) -> Line:
        """With what Enter would do; else with how the order is written."""
        try:
            return Line(line.text, self._would(line.words), means=True)
        except ShowtimeError as error:
            return Line(line.text, forms(line.text) or str(error))

    def _show_line(self, line: Line | None) -> None:
        self._line = line
        self._awake.set()

    def live(self, face: Face) -> None:
        """Show the days until somebody ends it; SIGINT, SIGTERM and SIGHUP end it cleanly."""
        watched = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
        before = {number: signal.signal(number, self._signalled) for number in watched}
        try:
            while not self._ended:
                self._awake.clear()
                self._look_around()
                self._turn_the_page()
                self._show(face)
                while not self._clock.wait(self._awake, self._until_next_second()):
                    self._look_around()
                    self._look_at_the_line()
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
        following = self._pages.following(self.day)
        if following is not None:
            self.day.end()
            self.day = following
            trust = self._clock.trust
            if isinstance(trust, Doubted) or trust.setting:
                # What is known of the time, each day's journal has to know by itself.
                following.trusts(trust)

    def _show(self, face: Face) -> None:
        face.show(self.day.state, self._clock.now(), self.shown, self._line)

    def _look_at_the_line(self) -> None:
        if self._line is not None and self._clock.monotonic() - self._touched > _LEFT_OPEN:
            self._show_line(None)

    def _look_around(self) -> None:
        """At the clock, and at the hall: whether it is reached is told once when that changes."""
        noticed = self._clock.look()
        if noticed is not None:
            self._noticed(noticed)
        neighbours = self.day.neighbours
        neighbours.look()
        if neighbours.trouble != self._cut_off:
            self._cut_off = neighbours.trouble
            self.note(self._cut_off or REACHED)

    def _noticed(self, noticed: Noticed) -> None:
        self.day.noticed(noticed)
        self._alarms.realign()
        self.note(noticed.why)

    def _set_clock(self, words: Sequence[str]) -> str:
        """The keeper says what time it is. What would cost starts has to be said twice."""
        moment = self._moment(words)
        lost, costly = self._cost(moment), self._costly
        sure = costly is not None and costly[1] > self._clock.monotonic()
        if lost and not (sure and costly is not None and costly[0] == moment):
            self._costly = moment, self._clock.monotonic() + _AGAIN_WITHIN
            said = " ".join(words)
            return f"That would {lost}. If you mean it, say clock {said} again within a minute."
        self._costly = None
        turns_to = self._pages.turns_to(self.day.state.day, moment)
        noticed = self._clock.set_to(moment)
        self.day.clock_set(noticed, f"clock {' '.join(words)}")
        self._alarms.realign()
        if turns_to is not None:
            return f"It is {self._told(moment)}, and that day begins."
        return f"It is {self._told(moment)}. {status(self.day.state, moment)}"

    def _moment(self, words: Sequence[str]) -> datetime:
        return moment_said(words, self.day.state.day, self._clock.now(), self._clock.trust)

    def _cost(self, moment: datetime) -> str:
        state = self.day.state
        return cost(state, moment, self._pages.turns_to(state.day, moment))

    def _told(self, moment: datetime) -> str:
        local = self.day.state.day.local(moment)
        return f"{local:%H:%M} on {local:%A %d %B}"

    def _until_next_second(self) -> float:
        """So that a clock on the face ticks evenly, and what befalls the clocks is seen soon."""
        return 1.0 - self._clock.now().microsecond / 1e6

    def _signalled(self, number: int, frame: FrameType | None) -> None:
        self.end()
