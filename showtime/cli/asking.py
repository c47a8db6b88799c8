"""Asking the keeper at the terminal, who may not answer."""

from __future__ import annotations

import os
import select
import sys
from collections.abc import Callable
from typing import Protocol

from showtime.cli.options import say

_YES = ("y", "yes")
_NO = ("n", "no")


class Keeper(Protocol):
    """Whoever answers questions; each is given up after so many seconds."""

    def agrees(self, question: str, seconds: float) -> bool | None:
        """Yes or no; None when the question was skipped or nobody answered."""

    def permits(self, question: str, seconds: float) -> bool:
        """True only when the word yes was typed, letter by letter."""

    def skips(self, seconds: float) -> bool:
        """True when Enter was pressed within that time."""


class AtTerminal:
    """The keeper at the keyboard. What was typed before a question is no answer to it."""

    def __init__(self, monotonic: Callable[[], float]) -> None:
        self._monotonic = monotonic
        self._file = sys.stdin.fileno()

    def agrees(self, question: str, seconds: float) -> bool | None:
        until = self._monotonic() + seconds
        ask = f"{question} [y/n, Enter skips] "
        while (typed := self._typed(ask, until)) is not None:
            if typed in _YES:
                return True
            if typed in _NO:
                return False
            if not typed:
                return None
            ask = "y for yes, n for no: "
        return None

    def permits(self, question: str, seconds: float) -> bool:
        return self._typed(question, self._monotonic() + seconds) == "yes"

    def skips(self, seconds: float) -> bool:
        return self._line(seconds) == ""

    def _typed(self, ask: str, until: float) -> str | None:
        """What was typed until Enter; None: nothing in time."""
        self._forget()
        print(ask, end="", flush=True)
        line = self._line(until - self._monotonic())
        if line is None:
            say("")
        return line

    def _line(self, seconds: float) -> str | None:
        if not select.select([self._file], [], [], max(0.0, seconds))[0]:
            return None
        return os.read(self._file, 1024).decode("utf-8", "replace").strip().lower()

    def _forget(self) -> None:
        import termios

        termios.tcflush(self._file, termios.TCIFLUSH)


class SaysYes:
    """Takes the keeper's word for what is heard; permits nothing, and has no hand to press with."""

    def agrees(self, question: str, seconds: float) -> bool | None:
        return True

    def permits(self, question: str, seconds: float) -> bool:
        return False

    def skips(self, seconds: float) -> bool:
        return True
