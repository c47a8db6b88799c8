"""A link and a pretended controller on a wire without a machine, in time that passes when told."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from showtime.figure import Link, Pace, PretendController
from showtime.figure.ports import LineGoneError
from showtime.live.reports import Report

BELLS = ("Bells", timedelta(seconds=30))
DANCE = ("Dance", timedelta(seconds=60))


class Plug:
    """One end of a wire: what is written at one end is read at the other, unless it is pulled."""

    def __init__(self) -> None:
        self.inbox: deque[bytes] = deque()
        self.other: Plug | None = None
        self.pulled = False
        self.passes: Callable[[bytes], bytes] = lambda data: data
        self.sent: list[bytes] = []

    def read(self) -> bytes:
        if self.pulled:
            raise LineGoneError("pulled")
        data = b"".join(self.inbox)
        self.inbox.clear()
        return data

    def write(self, data: bytes) -> None:
        if self.pulled:
            raise LineGoneError("pulled")
        self.sent.append(data)
        if self.other is not None:
            self.other.inbox.append(self.passes(data))

    def wait(self, seconds: float) -> None:
        """Time passes elsewhere."""

    def close(self) -> None:
        self.inbox.clear()


@dataclass
class Workshop:
    """The link, the controller, and the time; `reports` is what the day was told."""

    pace: Pace = field(default_factory=Pace)
    time: float = 100.0
    reports: list[Report] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.ours, self.theirs = Plug(), Plug()
        self.ours.other, self.theirs.other = self.theirs, self.ours
        self.link = Link("the line", self.opened, lambda: self.time, self.pace, greeting=41)
        self.controller = PretendController(self.theirs, lambda: self.time, self.pace)

    def opened(self) -> Plug:
        if self.ours.pulled:
            raise LineGoneError("no such line")
        return self.ours

    def settle(self) -> None:
        """Everything that is on the wire arrives, and what that leads to."""
        for _ in range(200):
            before = len(self.ours.sent), len(self.theirs.sent)
            self.reports += self.link.step()
            self.controller.step()
            if before == (len(self.ours.sent), len(self.theirs.sent)):
                return

    def spend(self, seconds: float, step: float = 0.05) -> None:
        until = self.time + seconds
        self.settle()
        while self.time < until:
            self.time = min(self.time + step, until)
            self.settle()

    def pull(self) -> None:
        self.ours.pulled = self.theirs.pulled = True
        self.ours.inbox.clear()
        self.theirs.inbox.clear()

    def put_back(self) -> None:
        self.ours.pulled = self.theirs.pulled = False

    def told(self, kind: type[Report]) -> list[Report]:
        return [report for report in self.reports if isinstance(report, kind)]

    def deeds(self) -> list[str]:
        return [deed.what for deed in self.controller.deeds]

    def play(self, name: str = "Bells", seconds: float = 30.0) -> None:
        self.link.play(1, name, timedelta(seconds=seconds))

    def follow(self) -> None:
        starts = [(datetime(2027, 2, 13, 10, 30), 1), (datetime(2027, 2, 13, 11), 2)]
        self.link.follow([BELLS, DANCE], starts, datetime(2027, 2, 13, 10, tzinfo=UTC))


@pytest.fixture
def workshop() -> Workshop:
    """Bonded and well."""
    made = Workshop()
    made.settle()
    assert made.link.bonded
    made.reports.clear()
    return made


@pytest.fixture
def bare_workshop() -> Workshop:
    """Nothing has been said yet."""
    return Workshop()
