"""The SQLite file that a journal is kept in: how it is made, read and added to."""

from __future__ import annotations

import gc
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from zlib import crc32

from showtime.live.events import Event
from showtime.live.journal.codec import VERSION, decode_all
from showtime.live.journal.troubles import JournalError

PAGE = 4096
"""Bytes in a page of the file."""

_APPLICATION_ID = 0x53544A31
"""Marks the file as a journal of this program (SQLite file format, offset 68)."""

_SCHEMA_VERSION = 1
"""Of the table. In version 0 its rows bore no seal. A newer table comes with newer events."""

_SCHEMA = f"""
BEGIN;
CREATE TABLE events (
    number INTEGER PRIMARY KEY,
    version INTEGER NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE TRIGGER nothing_is_changed BEFORE UPDATE ON events
    BEGIN SELECT RAISE(ABORT, 'the journal is only ever added to'); END;
CREATE TRIGGER nothing_is_deleted BEFORE DELETE ON events
    BEGIN SELECT RAISE(ABORT, 'the journal is only ever added to'); END;
PRAGMA application_id = {_APPLICATION_ID};
PRAGMA user_version = {_SCHEMA_VERSION};
COMMIT;
"""
_CHECKPOINT = 400
"""Pages that the write-ahead log may reach before they go into the file itself."""

_AT_ONCE = 2000
"""Rows that are decoded together: enough to be fast, few enough to stay in the cache."""

_ABOVE_NUMBERS = 40
"""Bits that a checksum and a number never need together."""

Row = tuple[int, str, bytes]
"""Version, kind and body of an event."""


class DamagedError(ValueError):
    """The file does not hold all that was put in it, as it was put in."""


class OlderFormatError(ValueError):
    """The file was begun by an older program and has to be written anew."""


def seal(number: int, row: Row) -> int:
    """What a row must bear to be believed: the CRC-32 of its kind and body, number and version."""
    version, kind, body = row
    return crc32(body, crc32(kind.encode())) + number + (version << _ABOVE_NUMBERS)


def connect(path: Path | None) -> sqlite3.Connection:
    """A connection to add to the file; it is begun if it is new."""
    db = sqlite3.connect(path or ":memory:", timeout=0.5, check_same_thread=False)
    try:
        db.execute(f"PRAGMA page_size={PAGE}")
        db.execute("PRAGMA journal_mode=WAL")
        db.execute("PRAGMA synchronous=FULL")
        db.execute(f"PRAGMA wal_autocheckpoint={_CHECKPOINT}")
        if not _tables(db):
            db.executescript(_SCHEMA)
        # A file that may not be written to is to be known now, not at the first event.
        db.execute("INSERT INTO events VALUES (0, 0, '', '', 0)")
        db.rollback()
    except sqlite3.Error:
        db.close()
        raise
    return db


def insert(db: sqlite3.Connection, first: int, rows: Sequence[Row]) -> None:
    """Add rows, all or none, numbered from `first` on."""
    with db:
        db.executemany(
            "INSERT INTO events (number, version, kind, body, seal) VALUES (?, ?, ?, ?, ?)",
            [
                (number, row[0], row[1], row[2].decode(), seal(number, row))
                for number, row in enumerate(rows, first)
            ],
        )


def read(path: Path, at_least: int = 0) -> tuple[Event, ...]:
    """All events in the file, which is left as it is; none where there is no file yet.

    DamagedError or sqlite3.Error when they are not all there, or not as they were written, or
    fewer than `at_least`; JournalError when the file is another program's or a newer one's.
    """
    if not path.exists():
        return ()
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as db:
        tables = _tables(db)
        mark = db.execute("PRAGMA application_id").fetchone()[0]
        if mark != _APPLICATION_ID and (mark or tables):
            raise DamagedError("it is not marked as a journal")
        if tables:
            _check(db, path)
        count = _check_count(db) if tables else 0
        if count < at_least:
            raise DamagedError(f"the last {at_least - count} events are missing")
        return all_events(db) if count else ()


def _tables(db: sqlite3.Connection) -> int:
    return int(db.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0])


def _check(db: sqlite3.Connection, path: Path) -> None:
    wrong = db.execute("PRAGMA quick_check(1)").fetchone()[0]
    if wrong != "ok":
        raise DamagedError(wrong)
    schema = db.execute("PRAGMA user_version").fetchone()[0]
    if schema == 0:
        raise OlderFormatError
    query = "SELECT number, seal, version, kind, CAST(body AS BLOB) FROM events WHERE version > ?"
    newer = db.execute(query, [VERSION]).fetchone()
    if newer is not None and seal(newer[0], newer[2:]) == newer[1]:
        raise JournalError(f"{path}: it was written by a newer program; give another --journal")
    if schema != _SCHEMA_VERSION:
        raise DamagedError("it is not marked as a journal")


def _check_count(db: sqlite3.Connection) -> int:
    """How many events there are: numbered from one, none left out."""
    count, first, last = db.execute(
        "SELECT count(*), min(number), max(number) FROM events"
    ).fetchone()
    if count and (first, last) != (1, count):
        raise DamagedError(f"of the events 1 to {last} only {count} are there")
    return int(count)


def all_events(db: sqlite3.Connection) -> tuple[Event, ...]:
    """The events in their order. DamagedError when one does not bear its seal."""
    checksum = f"seal - number - (version << {_ABOVE_NUMBERS})"
    cursor = db.execute(f"SELECT kind, CAST(body AS BLOB), {checksum} FROM events ORDER BY number")
    seeds: dict[str, int] = {}
    events: list[Event] = []
    with _without_collector():
        while rows := cursor.fetchmany(_AT_ONCE):
            kinds, bodies, seals = zip(*rows, strict=True)
            for kind in set(kinds) - seeds.keys():
                seeds[kind] = crc32(kind.encode())
            if tuple(map(crc32, bodies, map(seeds.__getitem__, kinds))) != seals:
                raise DamagedError("an event is not as it was written")
            events += decode_all(kinds, bodies)
    return tuple(events)


@contextmanager
def _without_collector() -> Iterator[None]:
    """Without looking for garbage: among events there is none, and it doubles the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def old_rows(path: Path) -> list[Row]:
    """The rows of a file whose table bears no seals yet."""
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as db:
        query = "SELECT version, kind, CAST(body AS BLOB) FROM events ORDER BY number"
        return db.execute(query).fetchall()
