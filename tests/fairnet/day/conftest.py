"""An unkind network between stalls and their broker."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Iterator
from random import Random

import pytest


class UnkindNetwork:
    """A door to a broker for each stall, by which whatever comes is late, and told twice at times.

    It knows just so much of MQTT that it can double a whole packet (MQTT 3.1.1, 2.2): only what is
    told without acknowledgement, as a packet with an identifier would be another's.
    """

    def __init__(self, port: int, luck: Random, late: float) -> None:
        self._port, self._luck, self._late = port, luck, late
        self._lines: dict[str, set[asyncio.StreamWriter]] = {}
        self._shut: set[str] = set()
        self._servers: list[asyncio.Server] = []
        self._loop = asyncio.new_event_loop()
        self._loop.set_exception_handler(lambda loop, context: None)  # lines that are cut
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._thread.start()

    def door(self, name: str) -> int:
        """The port by which that stall reaches the broker."""

        async def opened() -> int:
            server = await asyncio.start_server(
                lambda reader, writer: self._line(name, reader, writer), "127.0.0.1", 0
            )
            self._servers.append(server)
            return int(server.sockets[0].getsockname()[1])

        return asyncio.run_coroutine_threadsafe(opened(), self._loop).result(10)

    def cut(self, name: str) -> None:
        self._shut.add(name)
        self._loop.call_soon_threadsafe(self._cut, name)

    def mend(self, name: str) -> None:
        self._shut.discard(name)

    def close(self) -> None:
        async def over() -> None:
            for server in self._servers:
                server.close()
            for name in list(self._lines):
                self._cut(name)
            tasks = asyncio.all_tasks() - {asyncio.current_task()}
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)

        asyncio.run_coroutine_threadsafe(over(), self._loop).result(10)
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(10)
        self._loop.close()

    def _cut(self, name: str) -> None:
        for writer in self._lines.pop(name, set()):
            writer.transport.abort()

    async def _line(
        self, name: str, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        try:
            if name in self._shut:
                return
            there, back = await asyncio.open_connection("127.0.0.1", self._port)
            self._lines.setdefault(name, set()).update((writer, back))
            ways = [self._way(reader, back, False), self._way(there, writer, True)]
            tasks = [asyncio.ensure_future(way) for way in ways]
            await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
            back.transport.abort()
        except OSError:
            return
        finally:
            writer.transport.abort()

    async def _way(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, doubling: bool
    ) -> None:
        try:
            while True:
                packet = await _packet(reader)
                if self._luck.random() < 0.1:
                    await asyncio.sleep(self._luck.random() * self._late)
                plain = packet[0] & 0xF6 == 0x30  # PUBLISH, its quality of service 0
                writer.write(
                    packet * 2 if doubling and plain and self._luck.random() < 0.2 else packet
                )
                await writer.drain()
        except (OSError, asyncio.IncompleteReadError):
            return


async def _packet(reader: asyncio.StreamReader) -> bytes:
    head, length, shift = await reader.readexactly(1), 0, 0
    while True:
        byte = await reader.readexactly(1)
        head += byte
        length |= (byte[0] & 0x7F) << shift
        shift += 7
        if not byte[0] & 0x80:
            return head + await reader.readexactly(length)


@pytest.fixture
def unkind_network() -> Iterator[Callable[[int, Random, float], UnkindNetwork]]:
    made: list[UnkindNetwork] = []

    def make(port: int, luck: Random, late: float) -> UnkindNetwork:
        made.append(UnkindNetwork(port, luck, late))
        return made[-1]

    yield make
    for network in made:
        network.close()
