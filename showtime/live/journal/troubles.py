"""What can be wrong with a journal, in words for the keeper.

ShowtimeError
└── JournalError              the journal is not to be used: another day's, another program's
    └── CannotRecordError     it cannot be written to now; the day can go on from memory
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from showtime.fair import ShowtimeError


class JournalError(ShowtimeError):
    """The journal cannot be used; the message says why and what to do."""


class CannotRecordError(JournalError):
    """Nothing can be written to the journal now."""


_IN_WORDS = {
    sqlite3.SQLITE_FULL: "the disk is full; free some space",
    sqlite3.SQLITE_READONLY: "it is read-only; make the file and its folder writable",
    sqlite3.SQLITE_CANTOPEN: "it cannot be opened; see that its folder is there and writable",
    sqlite3.SQLITE_PERM: "it may not be opened; make the file and its folder writable",
    sqlite3.SQLITE_IOERR: "its disk fails; see that it is plugged in and has space",
    sqlite3.SQLITE_BUSY: "another program is using it; close that one",
    sqlite3.SQLITE_LOCKED: "another program is using it; close that one",
}


def cannot_record(path: Path | None, error: sqlite3.Error) -> CannotRecordError | None:
    """The error in words; None when it is no trouble with writing, but the file is damaged."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_READONLY and path and os.access(path, os.W_OK, effective_ids=True):
        return None  # a damaged head, too, makes SQLite take a file for read-only
    words = _IN_WORDS.get(code)
    return CannotRecordError(f"{path}: {words}") if words else None
