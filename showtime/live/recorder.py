"""The journal of the running day, come what may to the disk that it lies on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

from showtime.live.events import Event
from showtime.live.journal import CannotRecordError, Journal, JournalError, recorded

KEPT_WAITING = 100_000
"""So many events are kept in memory until they can be written; beyond that the oldest go."""


class Record(Protocol):
    """What the running day needs of a journal."""

    @property
    def history(self) -> tuple[Event, ...]: ...
    @property
    def trouble(self) -> str: ...
    def append(self, *events: Event) -> None: ...
    def __iter__(self) -> Iterator[Event]: ...
    def close(self) -> None: ...


class Recorder:
    """Adds events to a journal, and never raises: what cannot be written waits in memory.

    At each event all that waits is tried again, in order and in one step, so the journal on disk
    never has a gap. `trouble` says what is wrong and how many events wait; empty: all is on disk.
    Without a journal (`why` it could not be opened) everything waits, and if `path` is given its
    journal is tried again at each event.
    """

    def __init__(
        self,
        journal: Journal | None,
        why: str = "",
        *,
        path: Path | None = None,
        history: tuple[Event, ...] = (),
    ) -> None:
        self.history = journal.history if journal else history
        self.notice = journal.notice if journal else ""
        self._journal = journal
        self._path = journal.path if journal else path
        self._why = "" if journal else why
        self._waiting: list[Event] = []
        self._gone = 0

    @classmethod
    def at(cls, path: Path | None) -> Recorder:
        """The journal at `path`; where it cannot be written to, in memory with what stands in it.

        JournalError when the day must not go on with this file: it is another program's, or
        another process is running a day on it.
        """
        try:
            return cls(Journal(path))
        except CannotRecordError as error:
            return cls(None, str(error), path=path, history=_readable(path))

    @property
    def trouble(self) -> str:
        if not self._why:
            return ""
        waiting = len(self._waiting)
        lost = f", {self._gone} are lost" if self._gone else ""
        plural = "event waits" if waiting == 1 else "events wait"
        return f"NOT RECORDING: {self._why}: {waiting} {plural}{lost}"

    def append(self, *events: Event) -> None:
        """Put events on disk, with all that waited for it; keep them waiting if that fails."""
        self._waiting += events
        try:
            if self._journal is None:
                self._open_again()
            if self._journal is not None:
                self._journal.append(*self._waiting)
                self._waiting, self._gone, self._why = [], 0, ""
        except JournalError as error:
            self._why = str(error)
            self._let_go_if_deleted()
        too_many = len(self._waiting) - KEPT_WAITING
        if too_many > 0:
            del self._waiting[:too_many]
            self._gone += too_many

    def __iter__(self) -> Iterator[Event]:
        """All events so far, on disk or not."""
        yield from self.history if self._journal is None else self._journal
        yield from self._waiting

    def close(self) -> None:
        """Try once more to write what waits, and let the journal go."""
        if self._waiting:
            self.append()
        if self._journal is not None:
            self._journal.close()

    def _open_again(self) -> None:
        """Open the journal that could not be opened before; what it holds waits no longer."""
        if self._path is None:
            return
        journal = Journal(self._path)
        known = len(self.history)
        if journal.history[:known] != self.history and journal.history:
            journal.close()
            raise JournalError(f"{self._path}: another journal stands in its place now")
        if not journal.history:
            self._waiting[:0] = self.history
        self._journal = journal

    def _let_go_if_deleted(self) -> None:
        """Where the file was deleted, have all its events wait for a new one."""
        if self._journal is None or self._path is None or self._path.exists():
            return
        try:
            everything = tuple(self._journal)
        except JournalError:
            return
        self._journal.close()
        self._journal, self.history = None, everything


def _readable(path: Path | None) -> tuple[Event, ...]:
    try:
        return recorded(path) if path else ()
    except JournalError:
        return ()
