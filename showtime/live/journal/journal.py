"""The append-only record of the live day, in one SQLite file."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from showtime.live.events import Event
from showtime.live.journal import salvage
from showtime.live.journal.codec import VERSION, decode, encode
from showtime.live.journal.journalfile import (
    PAGE,
    DamagedError,
    OlderFormatError,
    Row,
    all_events,
    connect,
    insert,
    old_rows,
    read,
)
from showtime.live.journal.troubles import CannotRecordError, JournalError, cannot_record
from showtime.live.journal.writer import OnlyWriter, acknowledged

__all__ = ["CannotRecordError", "Journal", "JournalError", "recorded"]


class Journal:
    """Events in the order in which they happened.

    One writer at a time: a lock file beside the journal holds the writer's process id. What
    `append` has returned from is on disk (WAL with synchronous=FULL), whatever happens next.
    Without a path the journal lives in memory and dies with the program.

    `history` is what stood in it when it was opened. A damaged journal is begun anew with all that
    can still be read; the damaged files are kept beside it, and `notice` says so in a line.
    """

    def __init__(self, path: Path | None = None) -> None:
        self.path = path
        self.notice = ""
        self.history: tuple[Event, ...] = ()
        self._writer = OnlyWriter(path) if path else None
        try:
            self._db = self._opened(path) if path else connect(None)
        except (sqlite3.Error, OSError) as error:
            self._free()
            raise _unusable(path, error) from error
        except JournalError:
            self._free()
            raise
        self._count = len(self.history)
        self._file = _identity(path)
        self._acknowledge()

    @property
    def in_place(self) -> bool:
        """False when the file was deleted, moved or replaced since it was opened."""
        return _identity(self.path) == self._file

    def append(self, *events: Event) -> None:
        """Put events on disk, all or none."""
        if not self.in_place:
            raise CannotRecordError(f"{self.path}: the file was taken away; put it back")
        rows = [_row(event) for event in events]
        try:
            insert(self._db, self._count + 1, rows)
        except sqlite3.Error as error:
            raise _unusable(self.path, error) from error
        self._count += len(rows)
        self._acknowledge()

    def __iter__(self) -> Iterator[Event]:
        """All events so far."""
        try:
            yield from all_events(self._db)
        except (sqlite3.Error, ValueError) as error:
            raise JournalError(f"{self.path}: cannot read the journal: {error}") from error

    def close(self) -> None:
        # What cannot be tidied up now is read from the write-ahead log the next time.
        with suppress(sqlite3.Error):
            self._db.close()
        self._free()

    def _opened(self, path: Path) -> sqlite3.Connection:
        if path.is_dir():
            raise JournalError(f"{path}: a folder; give --journal the name of a file in it")
        if salvage.is_unfinished(path):
            salvage.finish(path)
        at_least = self._writer.acknowledged if self._writer else 0
        main, log = salvage.files(path)
        try:
            if _size(log) and _size(main) < PAGE:
                raise DamagedError("its head is missing")  # SQLite might now delete the log
            self.history = read(path, at_least)
            return connect(path)
        except OlderFormatError:
            salvage.write_anew(path, old_rows(path), "older")
            self.history = read(path)
        except (sqlite3.Error, ValueError) as damage:
            if isinstance(damage, sqlite3.Error) and (trouble := cannot_record(path, damage)):
                raise trouble from damage
            self._mend(path, at_least, damage)
        return connect(path)

    def _mend(self, path: Path, at_least: int, damage: Exception) -> None:
        """Begin anew with what can still be read."""
        rows = salvage.carve(*salvage.bytes_of(path))
        if not rows and not at_least:
            raise JournalError(
                f"{path}: not a journal that can be used, perhaps another program's file: "
                f"{damage}; give another --journal"
            ) from damage
        aside = salvage.write_anew(path, list(rows.values()), "damaged")
        self.history = read(path)
        lost = max(at_least, *rows, 0) - len(rows)
        self.notice = (
            f"{path} was damaged: {len(rows)} event{'' if len(rows) == 1 else 's'} could be read, "
            f"{lost or 'none'} lost; the damaged file is kept as {aside.name}"
        )

    def _acknowledge(self) -> None:
        if self._writer is not None:
            self._writer.acknowledge(self._count)

    def _free(self) -> None:
        if self._writer is not None:
            self._writer.close()
            self._writer = None


def recorded(path: Path) -> tuple[Event, ...]:
    """The events in a journal that cannot or shall not be written to: all that can be read."""
    with suppress(sqlite3.Error, ValueError, OSError):
        return read(path, acknowledged(path))
    try:
        rows = salvage.carve(*salvage.bytes_of(path))
    except OSError as error:
        raise JournalError(f"{path}: cannot read the journal: {error.strerror}") from error
    return tuple(decode(kind, body) for _, kind, body in rows.values())


def _row(event: Event) -> Row:
    kind, body = encode(event)
    return VERSION, kind, body.encode()


def _unusable(path: Path | None, error: sqlite3.Error | OSError) -> JournalError:
    if isinstance(error, OSError):
        return CannotRecordError(f"{path}: cannot keep a journal there: {error.strerror}")
    return cannot_record(path, error) or CannotRecordError(f"{path}: it is damaged: {error}")


def _identity(path: Path | None) -> tuple[int, int] | None:
    """Which file it is, whatever its name."""
    if path is None:
        return None
    try:
        status = os.stat(path)
    except OSError:
        return None
    return status.st_dev, status.st_ino


def _size(path: Path) -> int:
    return path.stat().st_size if path.exists() else 0
