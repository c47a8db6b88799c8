"""A journal read: all of it, or what can be read of a damaged one, and how much is lost."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from showtime.live.events import Event
from showtime.live.journal import JournalError, salvage
from showtime.live.journal.codec import decode
from showtime.live.journal.journalfile import OlderFormatError, old_rows, read
from showtime.live.journal.writer import acknowledged


@dataclass(frozen=True)
class Read:
    """The events of a journal. `damaged`: not all could be read; `lost` are known to be missing."""

    events: tuple[Event, ...]
    damaged: bool = False
    lost: int = 0


def read_journal(path: Path) -> Read:
    """What stands in the journal at `path`, which is left as it is, also while a day writes to it.

    JournalError: there is none, or it is another program's file or a newer program's journal.
    """
    if not path.is_file():
        raise JournalError(f"{path}: there is no journal; name one with --journal")
    at_least = acknowledged(path)
    unread: Exception
    try:
        return Read(read(path, at_least))
    except OlderFormatError:
        return _older(path)
    except (sqlite3.Error, ValueError, OSError) as error:
        unread = error
    try:
        rows = salvage.carve(*salvage.bytes_of(path))
    except OSError as error:
        raise JournalError(f"{path}: cannot read the journal: {error.strerror}") from error
    if not rows:
        raise JournalError(f"{path}: no journal, or nothing of it can be read; name another one")
    events = tuple(decode(kind, body) for _, kind, body in rows.values())
    lost = max(at_least, *rows) - len(rows)
    return Read(events, damaged=lost > 0 or not _cannot_be_opened(unread), lost=lost)


def _older(path: Path) -> Read:
    """The events of a journal that an older program wrote, whose rows bear no seals."""
    try:
        return Read(tuple(decode(kind, body) for _, kind, body in old_rows(path)))
    except (sqlite3.Error, ValueError) as error:
        raise JournalError(f"{path}: cannot read this older journal: {error}") from error


def _cannot_be_opened(error: Exception) -> bool:
    """True on a medium that cannot be written to, where SQLite finds no room for its own files.

    Nothing is wrong with the journal then, if its rows are all there.
    """
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    return code in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY)
