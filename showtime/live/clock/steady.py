"""The live day's clock: it goes on whatever befalls the system clock, and follows what is sure."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import instant
from showtime.live.clock.kernel import Machine
from showtime.live.clock.trust import BACK, Doubted, Setting, Source, Trust, Trusted

_NONE = timedelta(0)
_UNSEEN = timedelta(milliseconds=5)
"""Jumps below this may be the time that it took to look."""

_NAP = timedelta(milliseconds=50)
"""A machine that stood still for less did not sleep."""

_AT_ONCE, _TRIES = timedelta(milliseconds=1), 5

_FAR = timedelta(hours=12)
"""A trusted clock that network time contradicts by more is not led astray: one of the two is
badly wrong, and only the keeper knows which."""


@dataclass(frozen=True, slots=True)
class _Course:
    """From `at`, which was at `boottime`, time goes at its pace; at half of it until `owed` is
    paid back. So a clock that is ahead is put right without ever running backwards."""

    at: datetime
    boottime: timedelta
    owed: timedelta = _NONE

    def now(self, boottime: timedelta) -> datetime:
        gone = boottime - self.boottime
        return self.at + gone - min(self.owed, gone // 2)

    def heading(self, boottime: timedelta) -> datetime:
        """What it would show if all were paid back."""
        return self.at + (boottime - self.boottime) - self.owed


@dataclass(frozen=True, slots=True)
class Noticed:
    """Something befell the clocks: alarms are to be realigned, and what was missed to be marked.

    The day's clock went from `was` to `becomes` at one stroke (mostly not at all). `slept` is how
    long the machine slept, `jumped` how far the system clock was set by somebody. `trust` is what
    holds from now on, `changed` True when it is news. `why` is a line for the keeper.
    """

    was: datetime
    becomes: datetime
    trust: Trust
    changed: bool = False
    slept: timedelta = _NONE
    jumped: timedelta = _NONE
    why: str = ""

    @property
    def moved(self) -> timedelta:
        return self.becomes - self.was


class SteadyClock:
    """A Clock that begins where `trust` says and goes on by the machine's boottime.

    The system clock may jump as it likes: that alone changes nothing. While the kernel says that
    it is synchronised, the day follows it: forwards at a stroke, back by up to five minutes at half
    pace. What would take it further back, or most of a day forwards, is not followed but makes
    the clock doubted. What the keeper sets stands until the kernel becomes synchronised anew. A
    pretended time follows nothing.
    """

    def __init__(self, machine: Machine, trust: Trust) -> None:
        self._machine = machine
        self._lock = threading.Lock()
        self.trust: Trust = trust
        by = trust.by if isinstance(trust, Trusted) else None
        boottime, system = self._read()
        ahead = _NONE
        if by in (Source.NETWORK, Source.BATTERY):
            ahead = max(_NONE, trust.at - system)
        self._course = _Course(instant(trust.at), boottime, ahead if ahead <= BACK else _NONE)
        self._offset = system - boottime
        self._asleep = boottime - machine.monotonic()
        self._pretended = by is Source.PRETENDED
        self._contradicted = by is Source.KEEPER and machine.synchronised()
        self._was_trusted = by is not None
        self._before_set: tuple[_Course, Trust, bool, bool] | None = None

    def now(self) -> datetime:
        return self._course.now(self._machine.boottime())

    def monotonic(self) -> float:
        return self._machine.monotonic().total_seconds()

    def wait(self, stop: threading.Event, seconds: float) -> bool:
        return stop.wait(seconds)

    def away(self, moment: datetime) -> timedelta:
        """How long it will take until this clock shows `moment`; nothing when it is past."""
        course, boottime = self._course, self._machine.boottime()
        now = course.now(boottime)
        gap = max(_NONE, moment - now)
        return gap + min(gap, now - course.heading(boottime))

    def set_to(self, moment: datetime) -> Noticed:
        """The keeper says that it is `moment`, and is believed, backwards too."""
        with self._lock:
            was, boottime = self.now(), self._machine.boottime()
            self._before_set = self._course, self.trust, self._contradicted, self._was_trusted
            moment = instant(moment)
            setting = Setting(self._machine.read().boot, since=moment - boottime)
            self._course = _Course(moment, boottime)
            self.trust = Trusted(Source.KEEPER, moment, setting)
            self._was_trusted = True
            # A network that was there all the while is what the keeper contradicts.
            self._contradicted = self._machine.synchronised()
            return Noticed(was, moment, self.trust, changed=True, why="set by the keeper")

    def take_back(self) -> None:
        """The last setting was a mistake: the clock goes on as if it had never been.

        Nothing happens when there was none, or when network time has been followed since.
        """
        with self._lock:
            if self._before_set is not None:
                self._course, self.trust, self._contradicted, self._was_trusted = self._before_set
                self._before_set = None

    def look(self) -> Noticed | None:
        """See whether anything befell the clocks. Cheap; to be called about once a second."""
        with self._lock:
            boottime, system = self._read()
            jumped, slept = self._jumped(system, boottime), self._slept(boottime)
            was, before = self._course.now(boottime), self.trust
            synchronised = self._machine.synchronised()
            self._contradicted = self._contradicted and synchronised
            why = ""
            if synchronised and not self._contradicted and not self._pretended:
                why = self._follow(system, boottime)
            becomes, changed = self._course.now(boottime), _differs(before, self.trust)
            if not (jumped or slept or changed or becomes != was):
                return None
            if jumped and not why:
                why = f"the computer's clock was set by {_length(jumped)}; the day keeps its own"
            if slept:
                why = f"asleep for {_length(slept)}" + (f"; {why}" if why else "")
            return Noticed(was, becomes, self.trust, changed, slept, jumped, why)

    def _read(self) -> tuple[timedelta, datetime]:
        """Both clocks at one moment: read again when something came in between."""
        for _ in range(_TRIES):
            boottime, system = self._machine.boottime(), self._machine.system()
            if self._machine.boottime() - boottime < _AT_ONCE:
                break
        return boottime, system

    def _jumped(self, system: datetime, boottime: timedelta) -> timedelta:
        offset = system - boottime
        by = offset - self._offset
        if abs(by) <= _UNSEEN:
            return _NONE
        self._offset = offset
        return by

    def _slept(self, boottime: timedelta) -> timedelta:
        asleep = boottime - self._machine.monotonic()
        length = asleep - self._asleep
        if length < _NAP:
            return _NONE
        self._asleep = asleep
        return length

    def _follow(self, system: datetime, boottime: timedelta) -> str:
        """Go by the synchronised system clock; a line that says so."""
        now, off = self._course.now(boottime), system - self._course.heading(boottime)
        if off < -BACK or (self._was_trusted and off > _FAR):
            why = f"network time says {_shown(system)}, the day's clock {_shown(now)}"
            if isinstance(self.trust, Trusted):
                self.trust = Doubted(why, now)
            return why
        if off > _UNSEEN and system > now:
            self._course = _Course(system, boottime)
        elif abs(off) > _UNSEEN:
            self._course = _Course(now, boottime, owed=now - system)
        if not (isinstance(self.trust, Trusted) and self.trust.by is Source.NETWORK):
            self.trust = Trusted(Source.NETWORK, self._course.now(boottime))
        self._was_trusted = True
        self._before_set = None
        return "follows network time" + (f", {_length(off)} off" if abs(off) > _UNSEEN else "")


def _differs(before: Trust, after: Trust) -> bool:
    if isinstance(before, Trusted) and isinstance(after, Trusted):
        return before.by is not after.by
    return before != after


def _shown(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M} UTC"


def _length(span: timedelta) -> str:
    seconds = abs(span.total_seconds())
    minutes = seconds / 60
    if seconds < 120:
        return f"{seconds:.3g} s"
    return f"{minutes:.0f} min" if minutes < 120 else f"{minutes / 60:.0f} h"
