"""The journal of the running day, come what may to the disk that it lies on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

from showtime.live.events import Event
from showtime.live.journal import CannotRecordError, Journal, JournalError, recorded
from showtime.live.journal.salvage import put_aside

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
        keeps: int = KEPT_WAITING,
    ) -> None:
        self.history = journal.history if journal else history
        self.notice = journal.notice if journal else ""
        self._journal = journal
        self._path = journal.path if journal else path
        self._why = "" if journal else why
        self._waiting: list[Event] = []
        self._gone = 0
        self._keeps = keeps

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
            self._write()
        except JournalError as error:
            self._why = str(error)
        except OSError as error:
            self._why = f"{self._path}: {error.strerror}; see that its disk is plugged in"
        too_many = len(self._waiting) - self._keeps
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

    def _write(self) -> None:
        if self._journal is not None and not self._journal.in_place:
            self._let_go(self._journal)
        if self._journal is None and self._path is not None:
            self._journal = self._opened_again(self._path)
        if self._journal is not None:
            self._journal.append(*self._waiting)
            self._waiting, self._gone, self._why = [], 0, ""

    def _opened_again(self, path: Path) -> Journal:
        """The journal that could not be opened before; what it holds waits no longer."""
        journal = Journal(path)
        everything = (*self.history, *self._waiting)
        found = journal.history
        if everything[: len(found)] != found:
            journal.close()
            raise JournalError(f"{path}: another journal stands in its place now; move it away")
        self.history, self._waiting = found, list(everything[len(found) :])
        self.notice = journal.notice
        return journal

    def _let_go(self, journal: Journal) -> None:
        """The file was deleted or replaced: what it held is read while that is possible."""
        self.history = tuple(journal)
        journal.close()
        self._journal = None
        if self._path is not None and not self._path.exists():
            put_aside(self._path, "deleted")


def _readable(path: Path | None) -> tuple[Event, ...]:
    try:
        return recorded(path) if path else ()
    except JournalError:
        return ()
