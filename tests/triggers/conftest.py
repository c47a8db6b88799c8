"""A stall that notes what hands do to it."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import pytest

from showtime.fair.wiring import Sets


@dataclass
class NotedHost:
    """A Host without a stall: it notes what it is told. Its time is set by the test, or real."""

    done: list[str] = field(default_factory=list)
    time: int | None = 0
    speaking: bool = False
    may_call: bool = True
    times: Sequence[int] = (14 * 60, 14 * 60 + 30, 15 * 60)
    offered: bool = False

    def micros(self) -> int:
        return time.monotonic_ns() // 1000 if self.time is None else self.time

    def do(self, deed: Sequence[str], by: str) -> None:
        self.done.append(" ".join(deed))

    def wrong(self, deed: Sequence[str]) -> str:
        return "" if deed[0] != "late" or len(deed) > 1 else "how many minutes?"

    def gathered(self, by: str) -> bool:
        if self.may_call:
            self.done.append("called")
        return self.may_call

    def hours(self) -> tuple[int, int, int | None]:
        return 10 * 60, 17 * 60, 12 * 60

    def allowed(self, sets: Sets) -> Sequence[int]:
        return self.times

    def understood(self, minute: int, sets: Sets) -> None:
        self.done.append(f"understood {clock(minute)}")

    def counts(self, minute: int, sets: Sets) -> None:
        self.done.append(f"{sets} {clock(minute)}")

    def cancelled(self, minute: int, sets: Sets) -> None:
        self.done.append(f"cancelled {clock(minute)}")

    def not_caught(self, why: str) -> None:
        self.done.append("not caught")

    def accept(self) -> bool:
        taken, self.offered = self.offered, False
        if taken:
            self.done.append("accepted")
        return taken


def clock(minute: int) -> str:
    return f"{minute // 60:02}:{minute % 60:02}"


@pytest.fixture
def host() -> NotedHost:
    return NotedHost()


@pytest.fixture
def live_host() -> NotedHost:
    return NotedHost(time=None)


@pytest.fixture
def before_long() -> Callable[..., bool]:
    def wait(holds: Callable[[], bool], seconds: float = 5.0) -> bool:
        until = time.monotonic() + seconds
        while not holds() and time.monotonic() < until:
            time.sleep(0.005)
        return holds()

    return wait
