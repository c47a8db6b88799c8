"""The account that a command asks for: of a day's own journal, or of one that is named."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

from showtime.fair import Stall
from showtime.live.account.account import Account, account_of
from showtime.live.account.reading import read_journal
from showtime.live.journal import JournalError
from showtime.live.places import journal_path


def account_in(stall: Stall, now: datetime, day: date, journal: Path | None = None) -> Account:
    """The account of what stands in `journal`, or in the journal of `day` where `run` keeps it.

    JournalError: there is none, it cannot be read, or it is another stall's; the message names it.
    """
    path = journal or journal_path(stall, day)
    read = read_journal(path)
    try:
        return account_of(stall, read, now, stall.day(day))
    except JournalError as error:
        raise JournalError(f"{path}: {error}") from None
