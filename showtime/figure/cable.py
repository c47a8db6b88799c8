"""A cable without a controller at its end yet: a pseudo-terminal pair that can be unplugged."""

from __future__ import annotations

import os
import select
import threading
import tty
from pathlib import Path

from showtime.figure.ports import LineGoneError


class PretendCable:
    """The controller's end of a serial line; `path` names the computer's end while it is plugged.

    Whoever opens `path` opens a real terminal device of this machine. It may be pulled by one
    thread while another reads it.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._end: int | None = None
        self._other: int | None = None
        self._lock = threading.Lock()
        self.plug_in()

    def plug_in(self) -> None:
        """As a USB plug does: the device is there, under its old name, with nothing in it."""
        with self._lock:
            if self._end is not None:
                return
            self._end, self._other = os.openpty()
            tty.setraw(self._other)
            os.set_blocking(self._end, False)
            self.path.unlink(missing_ok=True)
            self.path.symlink_to(os.ttyname(self._other))

    def unplug(self) -> None:
        """The device goes, and with it whoever holds it open."""
        with self._lock:
            self.path.unlink(missing_ok=True)
            for end in (self._end, self._other):
                if end is not None:
                    os.close(end)
            self._end = self._other = None

    def read(self) -> bytes:
        with self._lock:
            try:
                return os.read(self._plugged(), 65536)
            except BlockingIOError:
                return b""

    def write(self, data: bytes) -> None:
        with self._lock:
            try:
                os.write(self._plugged(), data)
            except BlockingIOError:
                return  # nobody reads: what does not fit is lost, as on a real line

    def wait(self, seconds: float) -> None:
        with self._lock:
            end = self._plugged()
        select.select([end], [], [], max(0.0, seconds))

    def _plugged(self) -> int:
        if self._end is None:
            raise LineGoneError("unplugged")
        return self._end

    def close(self) -> None:
        self.unplug()
