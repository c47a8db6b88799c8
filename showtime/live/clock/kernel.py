"""What the machine says of its clocks: the port, and Linux behind it."""

from __future__ import annotations

import os
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Protocol

from showtime.live.clock.trust import Reading

_STA_UNSYNC, _STA_CLOCKERR, _TIME_ERROR = 0x0040, 0x1000, 5
"""adjtimex(2) and linux/timex.h: the clock is not synchronised to a reliable server."""

_TOUCHED_LATELY = timedelta(hours=1)
"""systemd-timesyncd(8) touches its file at each synchronisation; it asks at least every 2048 s
(timesyncd.conf(5), PollIntervalMaxSec)."""


class Machine(Protocol):
    """Where a clock gets its time from."""

    def system(self) -> datetime:
        """The system clock, which anybody may set."""

    def boottime(self) -> timedelta:
        """Since the machine was started; goes on while it sleeps, and never jumps."""

    def monotonic(self) -> timedelta:
        """The same without the time that it slept."""

    def synchronised(self) -> bool:
        """True while the system clock follows a network time."""

    def read(self) -> Reading:
        """All that there is to judge the clock by; takes some milliseconds."""


class ThisMachine:
    """The machine that the program runs on. `root` is where its /sys, /proc and /run are."""

    def __init__(self, root: Path = Path("/")) -> None:
        self._root = root

    def system(self) -> datetime:
        return datetime.now(UTC)

    def boottime(self) -> timedelta:
        if sys.platform == "linux":
            return _exactly(time.clock_gettime_ns(time.CLOCK_BOOTTIME))
        return self.monotonic()

    def monotonic(self) -> timedelta:
        # Not time.monotonic_ns: where it is another clock than the kernel's, sleep would be seen
        # that never was.
        if sys.platform == "linux":
            return _exactly(time.clock_gettime_ns(time.CLOCK_MONOTONIC))
        return _exactly(time.monotonic_ns())

    def synchronised(self) -> bool:
        return _kernel_follows() or self._touched_lately()

    def read(self) -> Reading:
        return Reading(
            system=self.system(),
            synchronised=self.synchronised(),
            boottime=self.boottime(),
            boot=self._text("proc/sys/kernel/random/boot_id"),
            battery=self._battery(),
            firmware=has_firmware_clock(sys.platform, _processor()),
            zone=self.system().astimezone().utcoffset() or timedelta(0),
            built=_changed(Path(__file__).parents[2] / "__init__.py"),
        )

    def _touched_lately(self) -> bool:
        # Where the battery clock keeps local time the kernel is left marked as unsynchronised, lest
        # it write UTC there; the file tells all the same.
        touched = _changed(self._root / "run/systemd/timesync/synchronized")
        return touched is not None and timedelta(0) <= self.system() - touched <= _TOUCHED_LATELY

    def _battery(self) -> datetime | None:
        """The battery clock that set the system clock at the start, else any other.

        Documentation/admin-guide/rtc.rst of the kernel: `hctosys`, `since_epoch`.
        """
        clocks = sorted(self._root.glob("sys/class/rtc/rtc*"))
        clocks.sort(key=lambda clock: self._text(str(clock / "hctosys")) != "1")
        shown = (self._text(str(clock / "since_epoch")) for clock in clocks)
        seconds = next((text for text in shown if text.lstrip("-").isdecimal()), None)
        if seconds is None:
            return None
        return datetime.fromtimestamp(0, UTC) + timedelta(seconds=int(seconds))

    def _text(self, path: str) -> str:
        try:
            return (self._root / path).read_text("ascii").strip()
        except (OSError, ValueError):
            return ""


def _processor() -> str:
    return os.uname().machine if sys.platform == "linux" else ""


def has_firmware_clock(system: str, processor: str) -> bool:
    """True where the firmware keeps a clock on a battery, whether or not it can be read.

    rtc(4): all PCs of the i386 family have one; so have the computers that other systems than Linux
    run on (common practice). Single-board computers on Linux may have none.
    """
    return system != "linux" or processor.lower() in ("x86_64", "amd64", "i386", "i586", "i686")


def _kernel_follows() -> bool:
    """adjtimex(2), asked without changing anything."""
    import ctypes

    try:
        adjtimex = ctypes.CDLL(None).adjtimex
    except (AttributeError, OSError, TypeError):
        return False
    # The structure begins alike everywhere, each field aligned as C does it: modes (int), offset,
    # freq, maxerror, esterror (long), status (int). What follows differs, hence the room.
    long = ctypes.sizeof(ctypes.c_long)
    state = ctypes.create_string_buffer(1024)
    answer = adjtimex(state)
    status = ctypes.c_int.from_buffer(state, 5 * long).value
    return 0 <= answer != _TIME_ERROR and not status & (_STA_UNSYNC | _STA_CLOCKERR)


def _changed(file: Path) -> datetime | None:
    try:
        return datetime.fromtimestamp(file.stat().st_mtime, UTC)
    except OSError:
        return None


def _exactly(nanoseconds: int) -> timedelta:
    return timedelta(microseconds=nanoseconds // 1000)
