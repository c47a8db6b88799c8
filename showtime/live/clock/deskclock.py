"""The machine's clock as far as it is believed: by a day that opens, by a question at the desk."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from datetime import datetime
from functools import cached_property

from showtime.fair import Day, Stall
from showtime.live.clock.kernel import Machine, ThisMachine
from showtime.live.clock.trust import Setting, Trust, Trusted, judged
from showtime.live.events import ClockDoubted, ClockTrusted, Event
from showtime.live.places import journal_path


def trust_of(machine: Machine, stall: Stall, history: Sequence[Event]) -> Trust:
    """Whether the machine's clock is believed, with what the journal of a day holds."""
    return judged(
        machine.read(),
        fair_ends=stall.days[-1].hours.end,
        last_at=history[-1].at if history else None,
        setting=_setting(history),
    )


def _setting(history: Sequence[Event]) -> Setting | None:
    """What the keeper last said of the time, unless it was learned or doubted since."""
    told = [event for event in history if isinstance(event, ClockTrusted | ClockDoubted)]
    last = told[-1] if told else None
    if isinstance(last, ClockTrusted) and last.since:
        return Setting(last.boot, last.since)
    return None


def last_recorded(stall: Stall) -> Day | None:
    """The last of the stall's days that was run on this machine."""
    known = [day for day in stall.days if journal_path(stall, day.date).is_file()]
    return known[-1] if known else None


class DeskClock:
    """The clock of one question at the desk: it is judged once, when it is first looked at.

    It goes by what the keeper told a day that ran on this machine, as that day itself would.
    """

    def __init__(self, stall: Stall, machine: Machine | None = None) -> None:
        self._stall = stall
        self._machine = machine or ThisMachine()

    @cached_property
    def trust(self) -> Trust:
        self._read_at = self._machine.boottime()
        last = last_recorded(self._stall)
        return trust_of(self._machine, self._stall, _recorded(self._stall, last) if last else ())

    def now(self) -> datetime:
        """By the trusted clock; by what the machine shows where nothing is sure."""
        trust = self.trust
        if isinstance(trust, Trusted):
            return trust.at + (self._machine.boottime() - self._read_at)
        return self._machine.system()

    def monotonic(self) -> float:
        return self._machine.monotonic().total_seconds()

    def wait(self, stop: threading.Event, seconds: float) -> bool:
        return stop.wait(seconds)


def _recorded(stall: Stall, day: Day) -> Sequence[Event]:
    from showtime.live.journal import JournalError, recorded

    try:
        return recorded(journal_path(stall, day.date))
    except JournalError:
        return ()  # a journal that cannot be read tells nothing of the time
