"""The lines that a microcontroller sends about what is pressed, turned or walked past.

Printable ASCII, one message a line, ended by LF or CR LF, 63 characters at most:

    press               a whole press
    down, up            the button goes down; it comes up
    pulse 1, pulse 0    the dial's pulse contact closes; it opens
    dial 1, dial 0      the dial has left its rest; it is home
    knobs 512 87        what the knobs of hour and minute read, 0 to 65535
    here, gone          somebody stands before the sensor; nobody does

A number at the end of the edges (down, up, pulse, dial) is the time of the edge by the sender's own
clock, in microseconds modulo 2^32: `pulse 0 4294967290`. A dial needs it, because lines come in
bunches. Any line may end with `*` and two hexadecimal digits, the exclusive or of all bytes before
it (the check of NMEA 0183, from memory): `press*67`; it is then believed only if that is right.
Knobs are sent some 20 to 50 times a second, whether they move or not.

What is no such line is passed over. When nothing but that comes, it is told once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce

from showtime.triggers.signals import Contact, Edge, Pressed, Signal, Turned

LONGEST = 63
WRAP = 2**32

_SENSELESS = 8
"""So many lines without sense in a row, and it is told."""

_APART = 2_000_000
"""After such a silence in microseconds the sender's clock is laid beside ours anew: both drift."""

_ASTRAY = 500_000
"""Nearer than this the two clocks agree; else the sender was started anew."""

_MICROS = r"(?: (?P<at>[0-9]{1,10}))?"
_EDGES = re.compile(rf"(?P<what>down|up|pulse [01]|dial [01]|here|gone){_MICROS}")
_KNOBS = re.compile(r"knobs ([0-9]{1,5}) ([0-9]{1,5})")

_CONTACTS = {
    "down": (Contact.BUTTON, True),
    "up": (Contact.BUTTON, False),
    "pulse 1": (Contact.PULSE, True),
    "pulse 0": (Contact.PULSE, False),
    "dial 1": (Contact.OFF_NORMAL, True),
    "dial 0": (Contact.OFF_NORMAL, False),
    "here": (Contact.PRESENCE, True),
    "gone": (Contact.PRESENCE, False),
}


@dataclass
class _Beside:
    """The sender's clock laid beside ours."""

    theirs: int = 0
    ours: int = 0
    last: int = -_APART - 1

    def at(self, theirs: int, arrived: int) -> int:
        """Our time of what they say happened at `theirs`, and what arrived just now."""
        told = self.ours + (theirs - self.theirs) % WRAP
        if arrived - self.last > _APART or abs(told - arrived) > _ASTRAY:
            self.theirs, self.ours, told = theirs, arrived, arrived
        self.last = arrived
        return told


class Lines:
    """Bytes as they come to signals."""

    def __init__(self) -> None:
        self._begun = b""
        self._overlong = False
        self._senseless = 0
        self._clock = _Beside()

    @property
    def senseless(self) -> bool:
        """True when what comes has made no sense for a while."""
        return self._senseless >= _SENSELESS

    def take(self, came: bytes, arrived: int) -> Iterator[Signal]:
        """The signals in what came at `arrived`; an unfinished line waits for its end."""
        *lines, rest = (self._begun + came).split(b"\n")
        for number, line in enumerate(lines):
            if number == 0 and self._overlong:
                self._overlong = False
                continue
            yield from self._line(line, arrived)
        self._begun = rest
        if len(rest) > LONGEST + 1:
            if not self._overlong:
                self._senseless += 1
            self._overlong, self._begun = True, b""
            self._senseless += len(rest) // LONGEST

    def _line(self, line: bytes, arrived: int) -> Iterator[Signal]:
        if not line.strip(b"\r\0 "):
            return  # line noise between messages, or a pause
        signal = self._signal(line, arrived)
        if signal is None:
            self._senseless += 1
            return
        self._senseless = 0
        yield signal

    def _signal(self, line: bytes, arrived: int) -> Signal | None:
        text = checked(line.removesuffix(b"\r"))
        if text is None:
            return None
        if text == "press":
            return Pressed(arrived)
        if knobs := _KNOBS.fullmatch(text):
            hour, minute = int(knobs[1]), int(knobs[2])
            return Turned(hour, minute, arrived) if max(hour, minute) <= 65_535 else None
        edge = _EDGES.fullmatch(text)
        if edge is None:
            return None
        at = arrived
        if edge["at"] is not None:
            if int(edge["at"]) >= WRAP:
                return None
            at = self._clock.at(int(edge["at"]), arrived)
        contact, closed = _CONTACTS[edge["what"]]
        return Edge(contact, closed, at)


def checked(line: bytes) -> str | None:
    """The line's text without its check; None when it is no clean text or the check is wrong."""
    if len(line) > LONGEST or not all(0x20 <= byte <= 0x7E for byte in line):
        return None
    text, star, check = line.partition(b"*")
    if star and check.upper() != f"{reduce(int.__xor__, text, 0):02X}".encode():
        return None
    return text.decode("ascii")
