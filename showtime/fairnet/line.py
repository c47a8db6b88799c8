"""The line to the broker: a thread of its own that keeps it up, and whoever speaks never waits.

What is said is a state under a topic: the last word under each counts, is said again whenever the
line comes back, and stays with the broker for whoever comes later.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Protocol

from showtime.fair.hall import Joining
from showtime.fairnet.errors import INSTALL
from showtime.fairnet.pace import Pace
from showtime.fairnet.reaching import Refused, client_of, hang_up, why_not

if TYPE_CHECKING:
    from aiomqtt import Client

_FIRST_WAIT = 0.1


class Ear(Protocol):
    """Who is behind the line. Everything is called on the line's thread."""

    def connected(self, link: int) -> None:
        """The line is there, for the `link`th time; all that holds is about to be heard."""

    def heard(self, topic: str, payload: bytes, kept: bool) -> None:
        """Somebody said this; `kept`: some time ago, and the broker remembered it."""

    def ticked(self) -> None:
        """Some time has passed, or somebody woke the line."""

    def will(self, link: int) -> tuple[str, bytes] | None:
        """What the broker is to say for us when the line breaks."""


class Line:
    """A line by `joining`, on which what matches the `filters` is heard."""

    def __init__(
        self, joining: Joining, filters: Sequence[tuple[str, int]], ear: Ear, pace: Pace, who: str
    ) -> None:
        self.trouble = "not on the fair's line yet"
        self._joining, self._filters, self._ear, self._pace = joining, filters, ear, pace
        self._who = who
        self._lock = threading.Lock()
        self._kept: dict[str, bytes] = {}
        self._due: dict[str, bytes] = {}
        self._link = 0
        self._closing = False
        self._last_words: tuple[tuple[str, bytes], ...] = ()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._woken: asyncio.Event | None = None
        self._said: asyncio.Event | None = None
        self._thread = threading.Thread(target=self._run, name=f"line of {who}", daemon=True)

    def start(self) -> None:
        self._thread.start()

    @property
    def up(self) -> bool:
        return not self.trouble

    def say(self, topic: str, payload: bytes) -> None:
        """From now on this is what stands under the topic."""
        with self._lock:
            self._kept[topic] = self._due[topic] = payload
        self._set(self._said)

    def wake(self) -> None:
        """Tick now. From any thread."""
        self._set(self._woken)

    def _set(self, event: asyncio.Event | None) -> None:
        if threading.current_thread() is self._thread and event is not None:
            event.set()
        elif self._loop is not None and event is not None:
            try:
                self._loop.call_soon_threadsafe(event.set)
            except RuntimeError:  # the loop has just ended
                return

    def close(self, last_words: Sequence[tuple[str, bytes]] = ()) -> None:
        """Say the last words, if the line is up, and leave it."""
        self._last_words = tuple(last_words)
        self._closing = True
        self._set(self._said)
        self.wake()
        if self._thread.is_alive() and threading.current_thread() is not self._thread:
            self._thread.join(timeout=5.0)

    def _run(self) -> None:
        # aiomqtt needs a loop that watches sockets, which on some systems is not the usual one.
        with asyncio.Runner(loop_factory=asyncio.SelectorEventLoop) as runner:
            runner.run(self._live())

    async def _live(self) -> None:
        self._woken, self._said = asyncio.Event(), asyncio.Event()
        self._loop = asyncio.get_running_loop()
        self._loop.set_exception_handler(_left_alone)
        ticking = asyncio.create_task(self._tick())
        wait = _FIRST_WAIT
        while not self._closing:
            before = self._link
            try:
                await self._linked()
            except ModuleNotFoundError:
                self.trouble = INSTALL
                break
            except Refused as refused:
                self.trouble = str(refused)
                wait = 4 * self._pace.retry
            if self._closing:
                break
            if self._link != before:
                wait = _FIRST_WAIT
            await self._pause(wait)
            wait = min(2 * wait, max(self._pace.retry, _FIRST_WAIT))
        ticking.cancel()

    async def _pause(self, seconds: float) -> None:
        ends = asyncio.get_running_loop().time() + seconds
        while not self._closing and (left := ends - asyncio.get_running_loop().time()) > 0:
            await asyncio.sleep(min(left, self._pace.tick))

    async def _tick(self) -> None:
        assert self._woken is not None
        while True:
            self._ear.ticked()
            try:
                await asyncio.wait_for(self._woken.wait(), self._pace.tick)
            except TimeoutError:
                continue
            self._woken.clear()

    async def _linked(self) -> None:
        """One link to the broker, from its beginning until it breaks. Refused: trying is no use."""
        from aiomqtt import MqttError

        link = self._link + 1
        made = client_of(self._joining, self._who, self._ear.will(link))
        try:
            async with made as client:
                await client.subscribe(list(self._filters))
                self._link, self.trouble = link, ""
                with self._lock:
                    self._due = dict(self._kept)
                self._ear.connected(link)
                await self._talk(client)
        except MqttError as error:
            said = why_not(error, self._joining)
            if isinstance(said, Refused):
                raise said from None
            self.trouble = said
        finally:
            hang_up(made, asyncio.get_running_loop())

    async def _talk(self, client: Client) -> None:
        both = [asyncio.create_task(self._hear(client)), asyncio.create_task(self._say(client))]
        await asyncio.wait(both, return_when=asyncio.FIRST_COMPLETED)
        for task in both:
            task.cancel()
        for outcome in await asyncio.gather(*both, return_exceptions=True):
            if isinstance(outcome, Exception):
                raise outcome

    async def _hear(self, client: Client) -> None:
        async for message in client.messages:
            payload = message.payload
            if isinstance(payload, bytes | bytearray):
                self._ear.heard(str(message.topic), bytes(payload), bool(message.retain))

    async def _say(self, client: Client) -> None:
        assert self._said is not None
        while not self._closing:
            with self._lock:
                due, self._due = self._due, {}
            if due:
                await asyncio.gather(
                    *(
                        client.publish(topic, told, qos=1, retain=True)
                        for topic, told in due.items()
                    )
                )
            else:
                await self._said.wait()
                self._said.clear()
        for topic, told in self._last_words:
            await client.publish(topic, told, qos=1, retain=True)


def _left_alone(loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
    """The client may still want to watch a socket that has just been closed: whoever reads from it
    has seen that too, and the link is made anew."""
    if not isinstance(context.get("exception"), OSError):
        loop.default_exception_handler(context)
