"""Single keys from the terminal."""

from __future__ import annotations

import codecs
import os
import re
import select
import sys
import threading
from collections.abc import Callable
from typing import Any

_PATIENCE = 0.05
"""Seconds that the rest of a sequence may take; after that an escape was the key itself."""

_SEQUENCE = re.compile(r"\x1b(?:\[[0-?]*[ -/]*[@-~]|O[ -~])")
"""What cursor and function keys send: ECMA-48, 5.4 (control sequences) and 8.3.143 (SS3)."""

_BEGUN = re.compile(r"\x1b(?:\[[0-?]*[ -/]*|O)?$")
"""What may become one."""


class Keys:
    """Tells each key as it is pressed, without waiting for a line to be ended.

    Keys that send sequences (cursor, function keys) are left out whole; the escape key is told.

    The terminal is put back as it was by `close`. Where the input is no terminal, nothing is
    ever told.
    """

    def __init__(self, on_key: Callable[[str], None]) -> None:
        self._on_key = on_key
        self._wake_read, self._wake_write = os.pipe()
        self._before: list[Any] | None = None
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

            termios.tcsetattr(sys.stdin, termios.TCSADRAIN, self._before)
            self._before = None
        os.close(self._wake_read)
        os.close(self._wake_write)

    def _listen(self) -> None:
        decoder = codecs.getincrementaldecoder("utf-8")("ignore")
        waiting = ""
        while True:
            pressed = self._read(_PATIENCE if waiting else None)
            if pressed is None:
                return
            waiting = self._tell(waiting + decoder.decode(pressed), over=not pressed)

    def _read(self, patience: float | None) -> bytes | None:
        """What was pressed; nothing when that takes too long; None when there is no more."""
        terminal = sys.stdin.fileno()
        ready, _, _ = select.select([terminal, self._wake_read], [], [], patience)
        if self._wake_read in ready:
            return None
        if not ready:
            return b""
        try:
            return os.read(terminal, 64) or None
        except OSError:
            return None  # the terminal has gone; the day goes on without keys

    def _tell(self, text: str, *, over: bool) -> str:
        """Tell each key of the text. What may be the beginning of a sequence is given back."""
        whole = _SEQUENCE.sub("", text)
        begun = None if over else _BEGUN.search(whole)
        told = begun.start() if begun else len(whole)
        for key in whole[:told]:
            self._on_key(key)
        return whole[told:]
