"""amqtt's broker, with two things mended. Imported by whoever starts it, for it takes its time."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from typing import Any

from amqtt.broker import Broker

_PATIENCE = 5.0
"""Seconds for a broker that has nobody to talk to any more."""


class Embedded(Broker):  # type: ignore[misc]  # amqtt tells no types
    """Goes on telling while stalls come and go, and hangs up on all of them in the end."""

    def __init__(self, settings: dict[str, Any]) -> None:
        super().__init__(settings)
        self._subscriptions = _Steady()
        self._lines: set[asyncio.StreamWriter] = set()

    async def stream_connected(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, listener_name: str
    ) -> None:
        self._lines.add(writer)
        try:
            await super().stream_connected(reader, writer, listener_name)
        finally:
            self._lines.discard(writer)
            writer.transport.abort()

    async def end(self) -> None:
        """Let nobody in any more, hang up on every stall so that it notices, and end."""
        for server in self._servers.values():
            server.instance.close()
        for writer in tuple(self._lines):
            writer.transport.abort()
        await asyncio.sleep(0)
        try:
            await asyncio.wait_for(self.shutdown(), _PATIENCE)
        except TimeoutError:
            return


class _Steady(dict[str, list[Any]]):
    """Subscriptions that may change while somebody goes through them; an ordinary dictionary
    refuses that, and what was being told would be lost."""

    def __iter__(self) -> Iterator[str]:
        return iter(list(super().__iter__()))

    def items(self) -> Any:
        return [(wanted, list(who)) for wanted, who in super().items()]
