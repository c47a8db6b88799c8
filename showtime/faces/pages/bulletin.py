"""What pages show, built once for all browsers, on a thread of its own and only when it changes."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import Generic, TypeVar

T = TypeVar("T")

EVERY = 1.0
"""Seconds after which it is looked at again: a quiet time begins without anything happening."""

FRESH = 0.2
"""Seconds for which what was built serves whoever asks, if nothing has changed since."""


class Bulletin(Generic[T]):
    """One value that many browsers wait for. All but `stirred` is called in the loop's thread."""

    def __init__(self, build: Callable[[], T], builder: ThreadPoolExecutor) -> None:
        self._build = build
        self._builder = builder
        self._loop = asyncio.get_running_loop()
        self._stirred = asyncio.Event()
        self._news = asyncio.Event()
        self._turn = asyncio.Lock()
        self._value: T | None = None
        self._built = float("-inf")
        self._watchers = 0

    def stirred(self) -> None:
        """Something has changed. From any thread; waits for nothing."""
        try:
            self._loop.call_soon_threadsafe(self._stirred.set)
        except RuntimeError:
            return  # the pages have closed before the day did

    async def fresh(self) -> T:
        """The value as it is now."""
        async with self._turn:
            asked = self._loop.time()
            if self._value is None or self._stirred.is_set() or asked - self._built > FRESH:
                self._stirred.clear()
                value = await self._loop.run_in_executor(self._builder, self._build)
                self._built = self._loop.time()
                if value != self._value:
                    self._value = value
                    self._news.set()
                    self._news = asyncio.Event()
            assert self._value is not None
            return self._value

    async def changes(self, pulse: float) -> AsyncIterator[T | None]:
        """The value, then whenever it changes; None after each `pulse` seconds without a change."""
        self._watchers += 1
        try:
            shown: T | None = None
            while True:
                news = self._news
                value = await self.fresh()  # whatever is wrong here ends the stream: no false life
                if value is not None and value != shown:
                    shown = value
                    yield value
                    continue
                try:
                    await asyncio.wait_for(news.wait(), pulse)
                except TimeoutError:
                    yield None
        finally:
            self._watchers -= 1

    async def keep(self) -> None:
        """Look at it whenever something has changed, and each second while somebody watches."""
        while True:
            with suppress(TimeoutError):
                await asyncio.wait_for(self._stirred.wait(), EVERY)
            if self._watchers:
                await self.fresh()
            else:
                await asyncio.sleep(EVERY)
