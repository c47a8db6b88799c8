"""Connections that are bounded in number and in time: nobody keeps others out by being slow."""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

FROM_ONE = 48
"""Connections from one address; a browser opens six."""

IN_ALL = 256

SILENT = 5.0
"""Seconds that a new connection has to say what it wants."""


class Bounded(H11Protocol):
    """Drops whoever has said nothing yet, the oldest first, when there are too many."""

    # The server narrows the same argument, which the type of every protocol leaves wide.
    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # narrower, as the server calls it
        super().connection_made(transport)
        self._hurry: asyncio.TimerHandle | None = self.loop.call_later(SILENT, self._too_slow)
        self.made = self.loop.time()
        others: list[Any] = [each for each in self.connections if each is not self]
        host = self.client[0] if self.client else ""
        near = [each for each in others if each.client and each.client[0] == host]
        if len(near) >= FROM_ONE:
            self._make_room(near)
        elif len(others) >= IN_ALL:
            self._make_room(others)

    def connection_lost(self, exc: Exception | None) -> None:
        if self._hurry is not None:
            self._hurry.cancel()
        super().connection_lost(exc)

    @property
    def waits(self) -> bool:
        """True while nothing is being answered on it."""
        return self.cycle is None or self.cycle.response_complete

    def drop(self) -> None:
        if not self.transport.is_closing():
            self.transport.abort()

    def _make_room(self, among: list[Any]) -> None:
        silent = [each for each in among if each.waits and not each.transport.is_closing()]
        if silent:
            min(silent, key=lambda each: float(each.made)).drop()
        else:
            self.drop()

    def _too_slow(self) -> None:
        self._hurry = None
        if self.cycle is None:
            self.drop()
