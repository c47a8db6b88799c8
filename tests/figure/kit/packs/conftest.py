"""A pack of the demo stall's Saturday, and the same day as the computer does it."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from showtime.live import Desk, Journal, RunningDay, SimulatedClock, World
from showtime.live.events import Answered, Started
from showtime.live.journal import Recorder
from showtime.live.ports import IdleFigure, OwnAlarms, WordsOnly
from showtime.live.state import CALL, DayState

SATURDAY = "2027-02-13"
FEW = ("--answers", "2")
"""Fewer sentences than a keeper would take: the tests here are of what is told, and when."""

Line = tuple[int, str, str]
"""A second of the day; what happened then; what it was about."""


@pytest.fixture(scope="session")
def desk() -> Desk:
    return Desk.of(None)


@pytest.fixture(scope="session")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Written once, also where tests run beside each other. Not to be changed."""
    shared = tmp_path_factory.getbasetemp()
    shared = shared.parent if "PYTEST_XDIST_WORKER" in os.environ else shared
    made, begun = shared / "demo-pack", shared / "demo-pack-begun"
    try:
        begun.mkdir()
    except FileExistsError:
        until = time.monotonic() + 300
        while not made.is_dir() and time.monotonic() < until:
            time.sleep(0.1)
        return made
    fresh = shared / "demo-pack-fresh"
    packed(fresh, *FEW)
    return fresh.rename(made)


def packed(folder: Path, *options: str) -> str:
    """The demo's Saturday, packed by the command; what it prints. In a process of its own, since
    the synthesiser never says a thing twice in the same way, but a fresh one begins the same."""
    command = [sys.executable, "-m", "showtime", "pack", str(folder), "--day", SATURDAY, *options]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="session")
def pack_again() -> Callable[[Path], str]:
    """Packs the same once more, into another folder."""
    return lambda folder: packed(folder, *FEW)


@pytest.fixture(scope="session")
def on_the_computer(desk: Desk) -> Callable[[Iterable[str]], list[Line]]:
    """Plays a script, as day_on_the_board.py describes it, to the running day."""
    return lambda script: _ComputersDay(desk).played(script)


class _ComputersDay:
    def __init__(self, desk: Desk) -> None:
        day = desk.day(SATURDAY)
        plan = desk.plan(day, 60.0)
        self._midnight = datetime.combine(day.date, datetime.min.time(), day.signboard.timezone)
        self._day = day
        self._clock = SimulatedClock(self.moment(9 * 3600 + 20 * 60))
        self._journal = Journal()
        world = World(
            journal=Recorder(self._journal),
            clock=self._clock,
            alarms=OwnAlarms(self._clock, "the day"),
            speech=WordsOnly(self._clock),
            figure=IdleFigure(),
            banks={"en": desk.bank("en")},
            random=Random(1),
            replanner=lambda state, now: None,
        )
        self._running = RunningDay(DayState(day, desk.stall.keep_within), world)
        self._running.begin(plan.performances, desk.tomorrow(day, 60.0))

    def moment(self, second: float) -> datetime:
        return self._midnight + timedelta(seconds=second)

    def played(self, script: Iterable[str]) -> list[Line]:
        for number, line in enumerate(script):
            second, what = line.split()
            self._clock.set(f"line {number}", self.moment(int(second)), lambda w=what: self._do(w))
            last = int(second)
        self._clock.turn_to(self.moment(last + 1))
        return sorted(filter(None, map(self._line, self._journal)))

    def _do(self, what: str) -> None:
        if what == "ask":
            self._running.asked("visitor")
        elif what == "hold" or self._running.state.stage.value == "held":
            self._running.tell([what])

    def _line(self, event: object) -> Line | None:
        if isinstance(event, Started):
            return self.second(event.at), "moves", event.slot.piece
        if not isinstance(event, Answered):
            return None
        kind = "call" if event.trigger == CALL else event.kind
        if event.spoken == "silent":
            return self.second(event.at), "silent", ""
        return self.second(event.at), kind, "" if event.told is None else self.clock(event.told)

    def second(self, moment: datetime) -> int:
        return round((moment - self._midnight).total_seconds())

    def clock(self, moment: datetime) -> str:
        return f"{moment.astimezone(self._day.signboard.timezone):%d %H:%M}"
