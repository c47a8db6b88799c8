"""A serial line of which the other end presses, dials, turns and sees people."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from contextlib import suppress
from errno import EACCES, EBUSY
from typing import TYPE_CHECKING

from showtime.fair.wiring import Port
from showtime.triggers.attached import NotThereError, Opening
from showtime.triggers.seriallines import Lines
from showtime.triggers.signals import Micros, Signal

if TYPE_CHECKING:
    from serial import Serial

_AT_ONCE = 4096
"""Bytes that are read at a time."""


def serial_port(port: Port, micros: Micros) -> Opening:
    """What takes up a serial line."""
    return lambda: _Open(port, micros)


def ports_there() -> list[tuple[str, str]]:
    """The serial lines of this machine: each path, and what is plugged in there."""
    from serial.tools import list_ports

    return sorted((each.device, each.description or "") for each in list_ports.comports())


class _Open:
    every = None

    def __init__(self, port: Port, micros: Micros) -> None:
        self._port = port
        self._micros = micros
        self._lines = Lines()
        self._serial = _opened(port)
        self.files: Sequence[int] = (self._serial.fileno(),)

    def read(self) -> Iterable[Signal]:
        came = os.read(self.files[0], _AT_ONCE)
        if not came:
            raise OSError("it was pulled out")
        return self._lines.take(came, self._micros())

    @property
    def doubt(self) -> str:
        if not self._lines.senseless:
            return ""
        return (
            f"{self._port.path}: what comes makes no sense; does it really send at "
            f"{self._port.baud} baud? (showtime inputs --help shows the lines)"
        )

    def close(self) -> None:
        with suppress(OSError):  # the line has gone already
            self._serial.close()


def _opened(port: Port) -> Serial:
    import serial

    try:
        return serial.Serial(port.path, port.baud, timeout=0, exclusive=True)
    except (OSError, ValueError) as error:
        absent = not os.path.exists(port.path)
        raise NotThereError(_why(port, error, absent), absent=absent) from error


def _why(port: Port, error: OSError | ValueError, absent: bool) -> str:
    number = getattr(error, "errno", None)
    if number == EACCES:
        return (
            f"{port.path}: may not be opened; add yourself to the group that owns it, often "
            "dialout, and log in again: sudo usermod -aG dialout $USER"
        )
    if number == EBUSY or "lock" in str(error).lower():
        return f"{port.path}: is in use by another program; end that one"
    if absent:
        return f"{port.path}: not there; the day goes on without it until it is plugged in"
    return f"{port.path}: is no serial line that can do {port.baud} baud"
