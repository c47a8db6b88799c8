"""The record of a live day on disk.

Owns the journal's file, what can be saved of a damaged one, and what waits while nothing can be
written. Refuses a second writer, and another program's file. Always holds: what was acknowledged is
on disk; nothing that was damaged is deleted.
"""

from showtime.live.journal.journal import CannotRecordError, Journal, JournalError, recorded
from showtime.live.journal.recorder import Record, Recorder

__all__ = ["CannotRecordError", "Journal", "JournalError", "Record", "Recorder", "recorded"]
