"""The figure that is wired up: the link, with a thread that listens to it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from showtime.fair import Day, Piece
from showtime.figure.link import Link
from showtime.live.events import Slot
from showtime.live.reports import Report

_NOD = 0.05
"""Seconds after which the thread looks again although nothing has arrived: another thread may have
said something that is to be repeated soon."""

_AGAIN = 1.0
"""Seconds until a thread that met a fault of the program itself is followed by another."""


class WiredFigure:
    """Performs by way of a controller at the other end of a serial line.

    `patience` is how long after a piece's length its end is awaited.
    """

    def __init__(self, link: Link, monotonic: Callable[[], float], patience: timedelta) -> None:
        self.patience: timedelta | None = patience
        self._link = link
        self._monotonic = monotonic
        self._told: Callable[[Report], None] = lambda report: None
        self._numbers: dict[str, int] = {}
        self._closed = threading.Event()
        self._thread: threading.Thread | None = None

    def listen(self, told: Callable[[Report], None]) -> None:
        """From now on tell what the figure says of itself, on a thread of its own."""
        self._told = told
        self._link.tell_again()

    def follow(self, day: Day, coming: Sequence[Slot], now: datetime) -> None:
        self._numbers = {piece.name: number for number, piece in enumerate(day.pieces, 1)}
        pieces = [(piece.name, piece.lasts) for piece in day.pieces]
        starts = [(day.local(slot.starts), self._numbers[slot.piece]) for slot in coming]
        self._link.follow(pieces, starts, day.local(now))

    def play(self, piece: Piece) -> None:
        self._link.play(self._numbers[piece.name], piece.name, piece.lasts)

    def stop(self) -> None:
        self._link.stop()

    def say(self, clips: Sequence[str]) -> None:
        """Say clips that the controller has, one after the other."""
        self._link.say(clips)

    @property
    def ready(self) -> bool:
        """True while the controller is there and heard."""
        return self._link.bonded

    @property
    def silent(self) -> str:
        """Why nothing is heard of the controller, as far as is known."""
        return self._link.silent

    def start(self) -> None:
        """Look after the link on a thread, which ends with `close`."""
        self._thread = threading.Thread(target=self._attend, name="figure", daemon=True)
        self._thread.start()

    def step(self) -> None:
        """Hear and say what is due, and tell of it."""
        for report in self._link.step():
            self._told(report)

    def close(self) -> None:
        """Stop everything, and let the line go."""
        self._closed.set()
        if self._thread is not None and self._thread is not threading.current_thread():
            self._thread.join(timeout=2.0)
        self._link.close()

    def _attend(self) -> None:
        try:
            while not self._closed.is_set():
                self.step()
                seconds = min(max(self._link.due() - self._monotonic(), 0.0), _NOD)
                if seconds and not self._link.wait(seconds):
                    self._closed.wait(seconds)
        finally:
            # A fault of the program is told by whoever watches threads; the figure is not left
            # without anybody who hears it.
            if not self._closed.wait(0.0 if self._closed.is_set() else _AGAIN):
                self.start()
