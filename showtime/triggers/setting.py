"""A time that is set by dial or knobs: what is entered, to what the stall does about it."""

from __future__ import annotations

from showtime.fair.wiring import Sets
from showtime.triggers.entry import (
    CANCEL,
    COUNT,
    EMPTY,
    NOT_CAUGHT,
    SPEAK_BACK,
    Entry,
    Open,
    Told,
)
from showtime.triggers.host import Host


class Setting:
    """One entry after the other, each told to the stall as it goes."""

    def __init__(self, sets: Sets, host: Host) -> None:
        self._sets = sets
        self._host = host
        self._entry = Entry(Open(*host.hours()))

    @property
    def open(self) -> bool:
        """True while something was entered that is not settled yet."""
        return self._entry.state != EMPTY

    def digit(self, at: int, digit: int) -> None:
        self._renew()
        self._tell(self._entry.digit(at, digit))

    def doubt(self, at: int, why: str) -> None:
        self._renew()
        self._tell(self._entry.doubt(at, why))

    def turned(self, at: int, hour: int, minute: int) -> None:
        self._renew()
        self._tell(self._entry.turned(at, hour, minute))

    def withdraw(self, at: int) -> None:
        self._renew()
        self._tell(self._entry.withdraw(at))

    def tick(self, now: int, turning: bool = False) -> None:
        """Time has passed. While a hand is on it or the figure speaks, no pause runs out."""
        if not self.open:
            return
        self._renew()
        busy = turning or self._host.speaking
        self._tell(self._entry.busy(now) if busy else self._entry.tick(now))

    def _renew(self) -> None:
        self._entry.day = Open(*self._host.hours())

    def _tell(self, told: Told | None) -> None:
        if told is None:
            return
        if told.what == SPEAK_BACK:
            self._host.understood(told.minute, self._sets)
        elif told.what == COUNT:
            self._host.counts(told.minute, self._sets)
        elif told.what == CANCEL:
            self._host.cancelled(told.minute, self._sets)
        elif told.what == NOT_CAUGHT:
            self._host.not_caught(told.why)
