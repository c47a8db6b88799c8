"""What the keeper has wired up: the things to press, turn and walk past."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from enum import StrEnum
from typing import TypeAlias

from showtime.fair.span import Where


class Pull(StrEnum):
    """Which resistor on the board holds a pin while its contact is open."""

    UP = "up"
    DOWN = "down"
    NONE = "none"


class Active(StrEnum):
    """The level of a pin while its contact is closed, or its sensor sees somebody."""

    LOW = "low"
    HIGH = "high"


class Sets(StrEnum):
    """What a time that was set with the hands means."""

    NEXT = "next"
    CLOCK = "clock"


VERBS = (
    *("ask", "hold", "release", "skip", "late", "off", "add", "quiet", "close", "piece", "play"),
    *("undo", "clock", "set", "end", "step", "accept"),
)
"""What a deed may begin with: the orders of a running day, and setting a time with one button."""


@dataclass(frozen=True, slots=True)
class Clicker:
    """A pocket clicker or camera remote that presents itself as a keyboard.

    `name`: a part of what it calls itself. `keys`: the ones that count; empty for any.
    """

    name: str
    keys: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Wire:
    """A pin of a single-board computer. `debounce`: a contact may chatter for so long."""

    pin: str
    pull: Pull = Pull.UP
    active: Active = Active.LOW
    debounce: timedelta = timedelta(milliseconds=10)


@dataclass(frozen=True, slots=True)
class Port:
    """A serial line, at `baud` bits a second."""

    path: str
    baud: int = 115_200


class Chip(StrEnum):
    """The analogue-to-digital converters that gpiozero reads, as their makers name them."""

    MCP3002 = "MCP3002"
    MCP3004 = "MCP3004"
    MCP3008 = "MCP3008"
    MCP3202 = "MCP3202"
    MCP3204 = "MCP3204"
    MCP3208 = "MCP3208"

    @property
    def full(self) -> int:
        """What it reads at most: MCP30xx have ten bits, MCP32xx twelve (their data sheets)."""
        return 1023 if self.value.startswith("MCP30") else 4095

    @property
    def inlets(self) -> int:
        """How many channels it has: the last figure of its name."""
        return int(self.value[-1])


@dataclass(frozen=True, slots=True)
class Converter:
    """A chip beside the pins that turns voltages into numbers, on SPI `select`.

    `channels`: those of the hour's knob and of the minute's.
    """

    chip: Chip
    channels: tuple[int, int] = (0, 1)
    select: int = 0


@dataclass(frozen=True, slots=True)
class Deeds:
    """What a button does, each in the words of the keeper's orders; empty ones do nothing."""

    press: tuple[str, ...] = ("ask",)
    long: tuple[str, ...] = ()
    double: tuple[str, ...] = ()
    long_after: timedelta = timedelta(milliseconds=600)
    double_within: timedelta = timedelta(milliseconds=350)
    sets: Sets = Sets.NEXT

    @property
    def every(self) -> tuple[tuple[str, ...], ...]:
        return tuple(deed for deed in (self.press, self.long, self.double) if deed)

    @property
    def steps(self) -> bool:
        """True when this button sets a time."""
        return any(deed[0] in ("step", "accept") for deed in self.every)


@dataclass(frozen=True, slots=True)
class Button:
    """Something to press."""

    of: Clicker | Wire | Port
    deeds: Deeds = field(default_factory=Deeds)
    where: Where | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Dial:
    """A rotary telephone dial. `off_normal`: the contact that is closed while it runs, if wired."""

    of: Wire | Port
    off_normal: Wire | None = None
    sets: Sets = Sets.NEXT
    where: Where | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Knobs:
    """Two potentiometers. The ends: what they read when turned back and turned up."""

    of: Converter | Port
    hour: tuple[int, int] = (0, 1023)
    minute: tuple[int, int] = (0, 1023)
    sets: Sets = Sets.NEXT
    where: Where | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Presence:
    """A sensor that sees people gather. The figure calls them at most once in `every`."""

    of: Wire | Port
    every: timedelta = timedelta(minutes=5)
    where: Where | None = field(default=None, compare=False)


Input: TypeAlias = Button | Dial | Knobs | Presence
