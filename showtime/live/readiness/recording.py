"""Where the day is recorded: whether one is running, whether there is room, how fast it writes."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from showtime.fair import Day, Stall
from showtime.live.events import Asked
from showtime.live.journal import CannotRecordError, Journal, JournalError, recorded
from showtime.live.journal.writer import OnlyWriter
from showtime.live.opening import open_record
from showtime.live.readiness.check import Line, Lines, look, mend, ok
from showtime.live.telling import TellingError, tell_day

A_DAY = 20_000_000
"""Bytes: more than any day's journal, with its log, has ever taken."""

SLOW = 0.1
"""Seconds: every answer waits for one write, and a visitor notices this much."""

_WRITES = 5


def running(stall: Stall, path: Path) -> str:
    """What a day of this stall that is running says of itself; empty when none is. One that hears
    no orders is known by its journal at `path`, which it holds."""
    try:
        return tell_day(stall, ["status"])[1] or "it does not say how it stands"
    except TellingError:
        return "it hears no orders" if _is_held(path) else ""


def _is_held(path: Path) -> bool:
    if not path.exists():
        return False
    try:
        OnlyWriter(path).close()
    except CannotRecordError:
        return False
    except JournalError:
        return True
    return False


@dataclass(frozen=True)
class Recording:
    """The journal of one day at `path`. `free` is how many bytes a folder has room for."""

    stall: Stall
    day: Day
    path: Path
    monotonic: Callable[[], float]
    free: Callable[[Path], int] = lambda folder: shutil.disk_usage(folder).free

    def journal(self) -> Lines:
        """Whether the day can be begun, or gone on with."""
        if not self.path.exists():
            return [ok("journal", "a new one, begun with the day")]
        record = open_record(self.path, self.stall, self.day)
        notice, trouble, events = record.notice, record.trouble, len(record.history)
        record.close()
        if trouble:
            return [mend("journal", trouble)]
        if notice:
            return [look("journal", notice)]
        return [ok("journal", f"the day goes on: {events} events are kept")]

    def disk(self) -> Lines:
        """Whether the days to come fit, and how long it takes until something is safe on disk."""
        folder = self.path.parent
        try:
            folder.mkdir(parents=True, exist_ok=True)
            free = self.free(folder)
        except OSError as error:
            return [_unwritable(folder, error)]
        return [self._judged(folder, free)]

    def _judged(self, folder: Path, free: int) -> Line:
        coming = [day for day in self.stall.days if day.date >= self.day.date]
        days = free // A_DAY
        if days < len(coming):
            return mend("disk", f"{free / 1e6:.0f} MB are left", "free some space: 1 GB is plenty")
        try:
            seconds = self._write(folder, self.day.hours.start)
        except OSError as error:
            return _unwritable(folder, error)
        room = f"room for {'hundreds of' if days > 200 else days} days"
        said = f"{room}; a write is safe after {seconds * 1000:.0f} ms"
        if seconds < SLOW:
            return ok("disk", said)
        return look("disk", f"{said}: answers come late", "a faster card or disk answers sooner")

    def _write(self, folder: Path, at: datetime) -> float:
        """Seconds, the median of a few real ones. JournalError: it cannot be written."""
        took = []
        with TemporaryDirectory(dir=folder, prefix="ready-", ignore_cleanup_errors=True) as own:
            trial = Path(own) / "trial.journal"
            journal = Journal(trial)
            for _ in range(_WRITES):
                begun = self.monotonic()
                journal.append(Asked(at=at, trigger="ready"))
                took.append(self.monotonic() - begun)
            journal.close()
            if len(recorded(trial)) != _WRITES:
                raise JournalError(f"{folder}: what is written there is lost; use another disk")
        return median(took)


def _unwritable(folder: Path, error: OSError) -> Line:
    why = (error.strerror or str(error)).lower()
    return mend("disk", f"{folder}: {why}", "make that folder writable")
