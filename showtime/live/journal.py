"""The append-only record of the live day, in one SQLite file."""

from __future__ import annotations

import fcntl
import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from showtime.fair import ShowtimeError
from showtime.live.codec import VERSION, decode, encode
from showtime.live.events import Event

_SCHEMA = """
CREATE TABLE IF NOT EXISTS events (
    number INTEGER PRIMARY KEY,
    version INTEGER NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL
) STRICT;
CREATE TRIGGER IF NOT EXISTS nothing_is_changed BEFORE UPDATE ON events
    BEGIN SELECT RAISE(ABORT, 'the journal is only ever added to'); END;
CREATE TRIGGER IF NOT EXISTS nothing_is_deleted BEFORE DELETE ON events
    BEGIN SELECT RAISE(ABORT, 'the journal is only ever added to'); END;
"""
_APPLICATION_ID = 0x53544A31
"""Marks the file as a journal of this program (SQLite file format, offset 68)."""


class JournalError(ShowtimeError):
    """The journal cannot be used; the message says why and what to do."""


class Journal:
    """Events in the order in which they happened.

    One writer at a time: a lock file beside the journal holds the writer's process id. What
    `append` has returned from is on disk (WAL with synchronous=FULL), whatever happens next.
    Without a path the journal lives in memory and dies with the program.
    """

    def __init__(self, path: Path | None = None) -> None:
        self.path = path
        self._lock = _only_writer(path) if path else None
        try:
            self._db = _opened(path)
        except JournalError:
            self._unlock()
            raise

    def append(self, *events: Event) -> None:
        """Put events on disk, all or none."""
        try:
            with self._db:
                self._db.executemany(
                    "INSERT INTO events (version, kind, body) VALUES (?, ?, ?)",
                    [(VERSION, *encode(event)) for event in events],
                )
        except sqlite3.Error as error:
            raise JournalError(f"{self.path}: cannot write the journal: {error}") from error

    def __iter__(self) -> Iterator[Event]:
        """All events so far. JournalError at one that this program cannot read."""
        query = "SELECT version, kind, body FROM events ORDER BY number"
        try:
            for version, kind, body in self._db.execute(query):
                if version > VERSION:
                    raise ValueError("it was written by a newer program")
                yield decode(kind, body)
        except (sqlite3.Error, ValueError) as error:
            raise JournalError(f"{self.path}: cannot read the journal: {error}") from error

    def close(self) -> None:
        self._db.close()
        self._unlock()

    def _unlock(self) -> None:
        if self._lock is not None:
            os.close(self._lock)
            self._lock = None


def _only_writer(path: Path) -> int:
    """Hold the lock beside the journal until the file is closed or the process dies."""
    beside = path.with_name(path.name + ".lock")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        lock = os.open(beside, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as error:
        raise JournalError(f"{path}: cannot keep a journal there: {error.strerror}") from error
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        holder = os.read(lock, 20).decode("ascii", "replace").strip() or "unknown"
        os.close(lock)
        raise JournalError(
            f"{path}: a day is already running on this journal (process {holder}); "
            "end that one first, or give another --journal"
        ) from error
    os.ftruncate(lock, 0)
    os.write(lock, f"{os.getpid()}\n".encode())
    return lock


def _opened(path: Path | None) -> sqlite3.Connection:
    try:
        db = sqlite3.connect(path or ":memory:", check_same_thread=False)
        mark = db.execute("PRAGMA application_id").fetchone()[0]
        if mark not in (0, _APPLICATION_ID):
            raise JournalError(f"{path}: another program's file; give another --journal")
        db.execute("PRAGMA journal_mode=WAL")
        db.execute("PRAGMA synchronous=FULL")
        if not mark:
            db.execute(f"PRAGMA application_id={_APPLICATION_ID}")
        db.executescript(_SCHEMA)
    except sqlite3.Error as error:
        raise JournalError(
            f"{path}: not a journal that can be used: {error}; give another --journal"
        ) from error
    return db
