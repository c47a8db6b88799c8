"""Single keys from the terminal."""

from __future__ import annotations

import os
import select
import sys
import threading
from collections.abc import Callable


class Keys:
    """Tells each key as it is pressed, without waiting for a line to be ended.

    The terminal is put back as it was by `close`. Where the input is no terminal, nothing is
    ever told.
    """

    def __init__(self, on_key: Callable[[str], None]) -> None:
        self._on_key = on_key
        self._wake_read, self._wake_write = os.pipe()
        self._before: list[object] | None = None
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        if not sys.stdin.isatty():
            return
        import termios
        import tty

        self._before = termios.tcgetattr(sys.stdin)
        tty.setcbreak(sys.stdin, termios.TCSANOW)
        self._thread = threading.Thread(target=self._listen, name="keys", daemon=True)
        self._thread.start()

    def close(self) -> None:
        if self._thread is not None:
            os.write(self._wake_write, b".")
            self._thread.join(timeout=1)
            self._thread = None
        if self._before is not None:
            import termios

            termios.tcsetattr(sys.stdin, termios.TCSADRAIN, self._before)  # type: ignore[arg-type]
            self._before = None
        os.close(self._wake_read)
        os.close(self._wake_write)

    def _listen(self) -> None:
        terminal = sys.stdin.fileno()
        while True:
            ready, _, _ = select.select([terminal, self._wake_read], [], [])
            if self._wake_read in ready:
                return
            try:
                pressed = os.read(terminal, 64)
            except OSError:
                return  # the terminal has gone; the day goes on without keys
            if not pressed:
                return
            for key in pressed.decode("utf-8", "ignore"):
                self._on_key(key)
