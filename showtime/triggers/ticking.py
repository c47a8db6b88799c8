"""One thread that tells the receivers that time passes, as long as one of them waits for that."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from showtime.triggers.host import Receiver
from showtime.triggers.signals import Micros, Signal

_CLOSING = 2.0


@dataclass
class Guarded:
    """A receiver that signals and ticks reach in turns, each from a thread of its own."""

    receiver: Receiver
    wake: Callable[[], None]
    lock: threading.RLock = field(default_factory=threading.RLock)

    def heard(self, signal: Signal) -> None:
        with self.lock:
            self.receiver.heard(signal)
            if self.receiver.pace is not None:
                self.wake()

    def tick(self, now: int) -> None:
        with self.lock:
            if self.receiver.pace is not None:
                self.receiver.tick(now)


class Ticking:
    """Sleeps while nobody waits for anything."""

    def __init__(self, micros: Micros) -> None:
        self._micros = micros
        self._guarded: Sequence[Guarded] = ()
        self._news = threading.Event()
        self._closed = False
        self._thread = self._new_thread()

    def wake(self) -> None:
        """Somebody may wait for something now."""
        self._news.set()

    def start(self, guarded: Sequence[Guarded]) -> None:
        self._guarded = guarded
        self._thread.start()

    def close(self) -> None:
        self._closed = True
        self._news.set()
        if self._thread.ident is not None and self._thread is not threading.current_thread():
            self._thread.join(timeout=_CLOSING)

    def _new_thread(self) -> threading.Thread:
        return threading.Thread(target=self._live, name="input ticks", daemon=True)

    def _live(self) -> None:
        fault = True
        try:
            while not self._closed:
                self._go_on()
            fault = False
        finally:
            if fault and not self._closed:
                # What a tick led to failed, and is told as a fault; the others go on.
                self._thread = self._new_thread()
                self._thread.start()

    def _go_on(self) -> None:
        paces = [each.receiver.pace for each in self._guarded]
        soonest = min((pace for pace in paces if pace is not None), default=None)
        self._news.wait(soonest)
        self._news.clear()
        for each in self._guarded:
            if not self._closed:
                each.tick(self._micros())
