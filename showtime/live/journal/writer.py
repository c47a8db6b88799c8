"""One writer at a time for a journal, and what it has acknowledged."""

from __future__ import annotations

import contextlib
import fcntl
import os
from pathlib import Path

from showtime.live.journal.troubles import CannotRecordError, JournalError


class OnlyWriter:
    """Holds the file `<journal>.lock` until it is closed or the process dies.

    The file tells the writer's process id and, below it, how many events were acknowledged. The
    number is written after the events are on disk, so a journal that holds fewer has lost some.
    """

    def __init__(self, path: Path) -> None:
        self._file = _locked(path)
        self.acknowledged = acknowledged(path)
        """So many events were in the journal at least, when it was last written to."""
        self.acknowledge(self.acknowledged)

    def acknowledge(self, count: int) -> None:
        """Say that the journal holds so many events."""
        self.acknowledged = count
        text = f"{os.getpid()}\n{count}\n".encode()
        # A disk too full for these few bytes may cost a later warning, never an event.
        with contextlib.suppress(OSError):
            os.pwrite(self._file, text, 0)
            os.ftruncate(self._file, len(text))

    def close(self) -> None:
        os.close(self._file)


def acknowledged(path: Path) -> int:
    """How many events the journal's last writer knew to be on disk; 0 where nobody says."""
    try:
        return _number(_beside(path).read_bytes()[:100], line=1)
    except OSError:
        return 0


def _beside(path: Path) -> Path:
    return path.with_name(path.name + ".lock")


def _locked(path: Path) -> int:
    beside = _beside(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        file = os.open(beside, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as error:
        raise CannotRecordError(
            f"{path}: cannot keep a journal there: {error.strerror}; "
            "make the folder writable, or give another --journal"
        ) from error
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        holder = _number(os.pread(file, 100, 0), line=0) or "unknown"
        os.close(file)
        raise JournalError(
            f"{path}: a day is already running on this journal (process {holder}); "
            "end that one first, or give another --journal"
        ) from error
    return file


def _number(text: bytes, line: int) -> int:
    lines = text.decode("ascii", "replace").splitlines()
    return int(lines[line]) if len(lines) > line and lines[line].isdecimal() else 0
