"""A serial line of this machine, opened with pyserial."""

from __future__ import annotations

import os
from typing import Any

from showtime.figure.ports import LineGoneError

_BACKLOG = 4096
"""Bytes that may wait to be sent. A line that takes none of them hears only the newest."""


class SerialPort:
    """The line `device` at `rate` baud, eight bits, no parity, one stop bit; ours alone."""

    def __init__(self, device: str, rate: int) -> None:
        import serial

        self._device = device
        self._unsent = b""
        try:
            self._line: Any = serial.Serial(
                device, rate, timeout=0, write_timeout=0, exclusive=True
            )
        except (serial.SerialException, OSError, ValueError) as error:
            raise LineGoneError(_cannot_open(error)) from error

    def read(self) -> bytes:
        self._flush()
        return bytes(self._tried(lambda: self._line.read(4096)))

    def write(self, data: bytes) -> None:
        self._unsent += data
        if len(self._unsent) > _BACKLOG:
            self._unsent = b"\n" + data
        self._flush()

    def wait(self, seconds: float) -> None:
        import select

        try:
            select.select([self._line.fileno()], [], [], max(0.0, seconds))
        except (OSError, ValueError, TypeError) as error:
            raise LineGoneError(_gone(error)) from error

    def close(self) -> None:
        import serial

        try:
            self._line.close()
        except (serial.SerialException, OSError):
            return  # it is gone anyway

    def _flush(self) -> None:
        if self._unsent:
            sent = self._tried(lambda: self._line.write(self._unsent))
            self._unsent = self._unsent[int(sent or 0) :]

    def _tried(self, action: Any) -> Any:
        import termios

        import serial

        try:
            return action()
        except serial.SerialTimeoutException:
            return 0
        except (serial.SerialException, OSError, TypeError, ValueError, termios.error) as error:
            raise LineGoneError(_gone(error)) from error


def _cannot_open(error: Exception) -> str:
    number = getattr(error, "errno", None)
    if number == 2:
        return "no such line; see that the cable is in, and that the name is right"
    if number == 13:
        return "you may not use it; add yourself to the group dialout and log in again"
    if number in (11, 16):
        return "another program has it; close that"
    reason = os.strerror(number) if isinstance(number, int) else str(error)
    return f"it cannot be opened ({reason})"


def _gone(error: Exception) -> str:
    return "its line is gone; see to the cable and its power"
