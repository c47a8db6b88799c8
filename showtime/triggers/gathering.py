"""A sensor that sees people -> a call, now and then."""

from __future__ import annotations

from showtime.fair.wiring import Presence
from showtime.triggers.host import Host
from showtime.triggers.signals import Contact, Edge, Gone, Signal, micros_of

LOOKS_AGAIN = 1.0
"""Seconds until the stall is asked again whether it may call people who still stand there."""


class Gathering:
    """Calls people who gather, at most once in `every`; whoever walks past during that is let go.

    While somebody stands there and the figure may not call, it is tried again until it may.
    """

    def __init__(self, of: Presence, name: str, host: Host) -> None:
        self._every = micros_of(of.every)
        self._name = name
        self._host = host
        self._there = False
        self._called: int | None = None

    @property
    def pace(self) -> float | None:
        return LOOKS_AGAIN if self._there else None

    def heard(self, signal: Signal) -> None:
        if isinstance(signal, Gone):
            self._there = False
        elif isinstance(signal, Edge) and signal.contact is Contact.PRESENCE:
            self._there = signal.closed
            self.tick(signal.at)

    def tick(self, now: int) -> None:
        due = self._called is None or now - self._called >= self._every
        if self._there and due and self._host.gathered(self._name):
            self._called = now
