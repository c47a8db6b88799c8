"""Every time that was said aloud, and what became of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from showtime.live.answer import is_owed
from showtime.live.events import Event
from showtime.live.journal import JournalError, recorded
from showtime.live.state import DayState, Outcome, Promise


def promises_at(state: DayState, now: datetime) -> tuple[Promise, ...]:
    """The promises in order of their times, with what became of each by `now`.

    One whose time is past is broken, unless it was kept, or changed and somebody was told so.
    """
    settled = []
    for promise in sorted(state.promises, key=lambda p: p.told):
        overdue = promise.outcome is Outcome.OPEN and promise.told + state.keep_within < now
        untold = promise.is_unsaid and promise.told < now and not is_owed(promise, now)
        broken = overdue or untold
        settled.append(replace(promise, outcome=Outcome.BROKEN) if broken else promise)
    return tuple(settled)


def looked_at(path: Path) -> tuple[Event, ...]:
    """The events of a journal, whether or not a day is writing to it. JournalError: unreadable."""
    if not path.is_file():
        raise JournalError(f"{path}: there is no journal; name one with --journal")
    return recorded(path)
