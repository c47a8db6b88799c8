"""A hall of real running days whose time passes in steps, on a real broker."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

import pytest

from showtime.fair import Performance, Piece
from showtime.fair.hall import HallDay, Joining, Stand
from showtime.fairnet import Member, Pace
from showtime.fairnet.organiser import bonds_of
from showtime.fairnet.words import safe_word
from showtime.live import DayState, Journal, RunningDay, Stage, World
from showtime.live.clock.kernel import ThisMachine
from showtime.live.clock.steady import SteadyClock
from showtime.live.journal.recorder import Recorder
from showtime.live.ledger import promises_at
from showtime.live.ports import IdleFigure, OwnAlarms, WordsOnly
from showtime.wording import Bank


class Steps(ThisMachine):
    """A machine whose time stands still until somebody lets it pass."""

    def __init__(self) -> None:
        super().__init__()
        self._system, self.passed = super().system(), timedelta(0)

    def boottime(self) -> timedelta:
        return self.passed

    def monotonic(self) -> timedelta:
        return self.passed

    def system(self) -> datetime:
        return self._system + self.passed

    def synchronised(self) -> bool:
        return False


class SteppedAlarms:
    """Alarms that go off when time has passed, one after the other, on the thread that lets it."""

    def __init__(self, clock: SteadyClock) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._set: dict[str, tuple[datetime, int, Callable[[], None]]] = {}
        self._number = 0

    def set(self, key: str, moment: datetime, action: Callable[[], None]) -> None:
        with self._lock:
            self._number += 1
            self._set[key] = moment, self._number, action

    def drop(self, key: str) -> None:
        with self._lock:
            self._set.pop(key, None)

    def realign(self) -> None:
        """They look at the clock anyway."""

    def close(self) -> None:
        with self._lock:
            self._set.clear()

    def go_off(self) -> None:
        while (action := self._due()) is not None:
            action()

    def _due(self) -> Callable[[], None] | None:
        with self._lock:
            due = [(m, n, key) for key, (m, n, _) in self._set.items() if m <= self._clock.now()]
            return self._set.pop(min(due)[2])[2] if due else None


@dataclass
class Sound:
    """What really sounded, by true seconds. `by_leave`: it began with the line up."""

    stall: str
    begins: float
    ends: float
    by_leave: bool


class SoundingFigure(IdleFigure):
    """A figure that notes when it sounds."""

    def __init__(self, sounds: list[Sound], stall: str, machine: Steps, up: Callable[[], bool]):
        super().__init__()
        self._sounds, self._stall, self._machine, self._up = sounds, stall, machine, up
        self._last: Sound | None = None

    def play(self, piece: Piece) -> None:
        now = self._machine.passed
        ends = (now + piece.lasts).total_seconds()
        self._last = Sound(self._stall, now.total_seconds(), ends, self._up())
        self._sounds.append(self._last)

    def stop(self) -> None:
        if self._last is not None:
            self._last.ends = min(self._last.ends, self._machine.passed.total_seconds())


class LiveStall:
    """A stall with a real running day, which can be killed and switched on again."""

    def __init__(
        self,
        stand: Stand,
        day_number: int,
        hall: HallDay,
        joining: Joining,
        clock: SteadyClock,
        machine: Steps,
        pace: Pace,
        sounds: list[Sound],
        english: Bank,
    ) -> None:
        self.name, self.word = stand.name, safe_word(stand.name)
        self.clock, self._machine = clock, machine
        self.killed = 0
        self._stand, self._joining, self._line_pace, self._sounds = stand, joining, pace, sounds
        self._fresh = DayState(hall.days[day_number], timedelta(minutes=3))
        self._english = english
        self._journal = Recorder(Journal())
        self.alarms = SteppedAlarms(clock)
        self.running: RunningDay | None = None

    def switch_on(self, plan: tuple[Performance, ...]) -> None:
        self.member = Member(self._stand.stall, self._joining, self.clock, self._line_pace)
        member = self.member
        figure = SoundingFigure(self._sounds, self.word, self._machine, lambda: member.is_up)
        self._own = OwnAlarms(self.alarms, f"start {self.killed}")
        world = World(
            journal=self._journal,
            clock=self.clock,
            alarms=self._own,
            speech=WordsOnly(self.clock),
            figure=figure,
            banks={"en": self._english},
            random=Random(f"{self.word} {self.killed}"),
            replanner=lambda state, now: None,
            hall=member,
        )
        self._figure = figure
        running = RunningDay(self._fresh, world)
        if self.killed:
            running.resume(tuple(self._journal))
            running.tell(["release"])
        else:
            running.begin(plan, None)
        self.running = running

    def kill(self) -> None:
        """As if its power were cut, with its line cut already: nothing is said, nothing moves."""
        running, self.running = self.running, None
        if running is not None:
            self.killed += 1
            self._own.close()
            self._figure.stop()
            self.member.close()

    def broken_promises(self) -> list[datetime]:
        state = self.running.state if self.running else None
        if state is None or self.killed:
            return []
        found = promises_at(state, self.clock.now())
        return [promise.told for promise in found if promise.outcome.value == "broken"]

    def switch_off(self) -> None:
        if self.running is not None:
            if self.running.state.stage is not Stage.ENDED:
                self.running.end()
            self.member.close()
        self.alarms.close()


def too_many(hall: HallDay, sounds: list[Sound]) -> list[tuple[str, list[Sound]]]:
    """Rules of the hall that were broken by what was begun with the line up, and by what."""
    found = []
    for bond in bonds_of(hall):
        bound = [s for s in sounds if s.stall in bond.stalls and s.by_leave]
        for sound in bound:
            at_once = [s for s in bound if s.begins <= sound.begins < s.ends]
            if len({s.stall for s in at_once}) > bond.most:
                found.append((bond.why, at_once))
    return found


@pytest.fixture(autouse=True)
def all_in_one_process() -> Iterator[None]:
    """Each stall is a machine of its own; here their threads share one, and must not wait long for
    each other whenever they have read a byte."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(0.0002)
    yield
    sys.setswitchinterval(usual)


@pytest.fixture
def live_stall() -> Iterator[Callable[..., LiveStall]]:
    """Makes stalls with running days, all of which are switched off at the end."""
    made: list[LiveStall] = []

    def make(*args: object) -> LiveStall:
        stall = LiveStall(*args)
        made.append(stall)
        return stall

    yield make
    for stall in made:
        stall.switch_off()


@pytest.fixture
def judge() -> Callable[[HallDay, list[Sound]], list[tuple[str, list[Sound]]]]:
    return too_many


@pytest.fixture
def steps() -> Steps:
    return Steps()
