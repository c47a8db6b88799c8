"""A device that is taken up when it is there, let go when it is pulled, and looked for again."""

from __future__ import annotations

import os
import select
import threading
from collections.abc import Callable, Iterable, Sequence
from typing import Protocol

from showtime.fair import ShowtimeError
from showtime.triggers.signals import Gone, Heard, Micros, Signal, Told

AGAIN = 2.0
"""Seconds until a missing device is looked for again."""

_CLOSING = 2.0
"""Seconds that a thread is given to end."""


class NotThereError(ShowtimeError):
    """A device cannot be taken up; the message says which, why and what to do.

    `absent`: it is simply not there. With `lasting` it is of no use to try again.
    """

    def __init__(self, line: str, *, absent: bool = False, lasting: bool = False) -> None:
        super().__init__(line)
        self.absent = absent
        self.lasting = lasting


class Link(Protocol):
    """A device while it is there."""

    @property
    def files(self) -> Sequence[int]:
        """What becomes readable when there is something to read."""

    @property
    def every(self) -> float | None:
        """After so many seconds `read` is called though nothing came; None for never."""

    def read(self) -> Iterable[Signal]:
        """What came. Never waits. OSError when the device has gone."""

    @property
    def doubt(self) -> str:
        """A line when what comes makes no sense; empty when it does."""

    def close(self) -> None: ...


Opening = Callable[[], Link]
"""Takes a device up. NotThereError: it cannot be."""


class Attached:
    """A device behind an `Opening`, on a thread that waits for it or for its coming."""

    def __init__(
        self,
        name: str,
        opening: Opening,
        heard: Heard,
        told: Told,
        micros: Micros,
        again: float = AGAIN,
    ) -> None:
        self.name = name
        self._opening = opening
        self._heard = heard
        self._told = told
        self._micros = micros
        self._again = again
        self._trouble = ""
        self._link: Link | None = None
        self._closed = False
        self._wake_read, self._wake_write = os.pipe()
        self._thread = self._new_thread()

    @property
    def trouble(self) -> str:
        return self._trouble

    def start(self) -> None:
        lasting = self._open()
        if not lasting:
            self._thread.start()

    def close(self) -> None:
        if self._closed:
            return
        self._closed = True
        os.write(self._wake_write, b".")
        if self._thread.ident is not None and self._thread is not threading.current_thread():
            self._thread.join(timeout=_CLOSING)
        self._let_go()
        if not self._thread.is_alive():
            os.close(self._wake_read)
            os.close(self._wake_write)

    def _new_thread(self) -> threading.Thread:
        return threading.Thread(target=self._live, name=f"input {self.name}", daemon=True)

    def _live(self) -> None:
        fault = True
        try:
            while not self._closed and self._go_on():
                pass
            fault = False
        finally:
            if fault and not self._closed:
                # Something that a signal led to failed, and is told as a fault: the next signal
                # finds this device listening all the same.
                self._thread = self._new_thread()
                self._thread.start()

    def _go_on(self) -> bool:
        """Wait for one thing to happen; False when there is nothing more to wait for."""
        link = self._link
        if link is None:
            return self._woken((), self._again) is not None and not self._open()
        if self._woken(link.files, link.every) is None:
            return False
        if self._link is link:
            self._read(link)
        return True

    def _woken(self, files: Sequence[int], patience: float | None) -> Sequence[int] | None:
        """The files that can be read; None when this is to end."""
        try:
            ready, _, _ = select.select([self._wake_read, *files], [], [], patience)
        except (OSError, ValueError):
            self._lost("it was pulled out")
            return ()
        return None if self._wake_read in ready else ready

    def _read(self, link: Link) -> None:
        try:
            signals = list(link.read())
        except OSError as error:
            self._lost((error.strerror or str(error)).lower())
            return
        for signal in signals:
            self._tell(signal)
        if link.doubt != self._trouble:
            self._say(link.doubt, f"{self.name}: what comes makes sense again")

    def _open(self) -> bool:
        """Try to take it up; True when there is no use in trying again."""
        try:
            self._link = self._opening()
        except NotThereError as error:
            known = error.absent and self._trouble
            self._say(self._trouble if known else str(error), "")
            return error.lasting
        self._say("", f"{self.name}: there now")
        return False

    def _lost(self, why: str) -> None:
        self._let_go()
        self._tell(Gone(self._micros()))
        self._say(f"{self.name}: gone ({why}); the day goes on without it until it comes back", "")

    def _let_go(self) -> None:
        link, self._link = self._link, None
        if link is not None:
            link.close()

    def _say(self, trouble: str, good: str) -> None:
        """A new trouble is told once, and so is its end."""
        before, self._trouble = self._trouble, trouble
        if trouble != before:
            self._told(trouble or good)

    def _tell(self, signal: Signal) -> None:
        if not self._closed:
            self._heard(signal)
