"""What devices tell, and what a device is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import Protocol, TypeAlias


class Contact(StrEnum):
    """What closes and opens. A dial's pulses are breaks; off-normal is closed while it runs."""

    BUTTON = "button"
    PULSE = "pulse"
    OFF_NORMAL = "off-normal"
    PRESENCE = "presence"


AT_START = "at the start"


@dataclass(frozen=True, slots=True)
class Edge:
    """A contact closed or opened. `at` is in microseconds on an axis that only grows; `key` says
    which one where a device has several. A contact that is closed when it is first looked at has
    the key `AT_START`: nobody has pressed it."""

    contact: Contact
    closed: bool
    at: int
    key: str = ""


@dataclass(frozen=True, slots=True)
class Pressed:
    """A whole press, of which the length is not known."""

    at: int


@dataclass(frozen=True, slots=True)
class Turned:
    """Where the knobs of hour and minute stand, as they read."""

    hour: int
    minute: int
    at: int


@dataclass(frozen=True, slots=True)
class Gone:
    """The device has gone or come anew: nothing that it told before still holds."""

    at: int


Signal: TypeAlias = Edge | Pressed | Turned | Gone
Heard: TypeAlias = Callable[[Signal], None]
Told: TypeAlias = Callable[[str], None]
"""Takes a line for the keeper."""

Micros: TypeAlias = Callable[[], int]
"""Microseconds on the axis of signals; never runs backwards."""


class Device(Protocol):
    """Something to press, turn or walk past.

    It tells each signal as it comes, on a thread of its own; what comes before `start` or after
    `close` is not told. When it is missing or pulled out it tells `Gone` and one line, and is taken
    up again by itself.
    """

    @property
    def name(self) -> str:
        """What the keeper calls it."""

    @property
    def trouble(self) -> str:
        """Why nothing comes from it, in a line; empty when all is well."""

    def start(self) -> None:
        """Take it up; returns when that has been tried once."""

    def close(self) -> None:
        """Give back what was taken."""


def micros_of(length: timedelta) -> int:
    """A length in the unit of signals."""
    return length // timedelta(microseconds=1)
