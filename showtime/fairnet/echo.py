"""Whether the line works: what a stall said comes back to it."""

from __future__ import annotations


class Echo:
    """Remembers when each thing was said, by its serial, and which of them have come back."""

    def __init__(self) -> None:
        self._said: dict[int, float] = {}
        self._heard = float("-inf")

    def said(self, serial: int, steady: float) -> None:
        self._said[serial] = steady

    def heard(self, serial: int) -> None:
        """It has come back, so that the line worked when it was said."""
        if serial in self._said:
            self._heard = max(self._heard, self._said[serial])
            self._said = {n: at for n, at in self._said.items() if n > serial}

    def forget(self) -> None:
        """What was said before is not waited for any more."""
        self._said.clear()

    def age(self, steady: float) -> float:
        """For how many seconds nothing that was said has come back."""
        return steady - self._heard
