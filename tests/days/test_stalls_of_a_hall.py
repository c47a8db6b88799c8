"""Three stalls in a row live a day on one line: real days, real members, a real broker."""

from __future__ import annotations

import heapq
import random
import shutil
import socket
import subprocess
import threading
import time
from contextlib import ExitStack, closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Signboard, Span, Stall
from showtime.fair.budgets import Performances
from showtime.fair.hall import HallDay, HallPlan, Joining, Place, Together
from showtime.fairnet import Member, Organiser, Pace
from showtime.live import DayState, Journal, Outcome, RunningDay, SimulatedClock, Stage, World, fold
from showtime.live import events as happened
from showtime.live.journal.recorder import Recorder
from showtime.live.keeper.mend import performed
from showtime.live.ledger import promises_at
from showtime.live.ports import IdleFigure, OwnAlarms, WordsOnly

NAMES = ("The Tin Orchard", "The Lantern Cart", "The Moth Organ")
FAIR, LONDON, DATE = "Osierholt Curiosity Fair", ZoneInfo("Europe/London"), date(2027, 2, 13)
OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
TUNE = Piece("Tune", timedelta(minutes=4), timedelta(minutes=1))
PACE = Pace(beat=30.0, lease=200.0, own_lease=150.0, grace=20.0, patience=2.0, tick=0.01, retry=0.1)
"""In seconds of the day, which passes some hundred times as fast as it would."""
ROW = Together(1, 3.0)
SECOND = timedelta(seconds=1)


def at(minutes: float) -> datetime:
    return OPENS + timedelta(minutes=minutes)


class SharedClock(SimulatedClock):
    """A simulated clock that several threads set alarms on; one alone turns it."""

    def __init__(self, start):
        super().__init__(start)
        self._turn = threading.Lock()

    def set(self, key, moment, action):
        with self._turn:
            super().set(key, moment, action)

    def drop(self, key):
        with self._turn:
            super().drop(key)

    def turn_to(self, moment):
        while True:
            with self._turn:
                due = self._next(moment)
            if due is None:
                break
            due()
        self.machine.go_on(self.steady.away(moment))

    def _next(self, moment):
        while self._queue and self._queue[0][0] <= max(moment, self.now()):
            when, number, key = heapq.heappop(self._queue)
            if self._due.get(key, (None,))[0] == number:
                self.machine.go_on(self.steady.away(when))
                return self._due.pop(key)[1]
        return None


@dataclass
class OneStall:
    """A stall whose day can be begun, cut off by a power failure, and resumed."""

    name: str
    day: Day
    clock: SharedClock
    joining: Joining
    bank: object
    journal: Recorder
    runs: int = 0
    member: Member | None = None

    def switch_on(self):
        self.runs += 1
        stall = Stall(self.day.signboard, (self.day,))
        self.member = Member(stall, self.joining, self.clock, PACE)
        self.alarms = OwnAlarms(self.clock, f"{self.name} {self.runs}")
        self.fresh = DayState(self.day, timedelta(seconds=60))
        world = World(
            journal=self.journal,
            clock=self.clock,
            alarms=self.alarms,
            speech=WordsOnly(self.clock),
            figure=IdleFigure(),
            banks={"en": self.bank},
            random=random.Random(f"{self.name} {self.runs}"),
            replanner=lambda state, now: None,
            hall=self.member,
        )
        self.running = RunningDay(self.fresh, world)
        return self.running

    def leave(self):
        if self.member is not None:
            self.member.close()

    def loses_power(self):
        """Nothing is said any more, not even farewell: the broker finds that out by itself."""
        self.alarms.close()
        self.member.close()

    @property
    def state(self):
        return self.running.state

    def starts(self):
        return [e.at for e in self.journal if isinstance(e, happened.Started)]

    def kept(self, told):
        return any(timedelta(0) <= start - told <= 60 * SECOND for start in self.starts())

    def sounded(self):
        return [p.span for p in performed(self.state)]


class Row:
    """The three stalls, their clock, and an organiser."""

    def __init__(self, port, bank, opened):
        self.clock = SharedClock(at(-5))
        self.reached = True
        self.joining = Joining("127.0.0.1", port)
        boards = [Signboard(FAIR, name, f"figure of {name}", ("en",), LONDON) for name in NAMES]
        hours = Span(OPENS, at(60))
        cap = (Performances(6, timedelta(hours=1)),)
        days = tuple(Day(b, DATE, hours, (TUNE,), gap=SECOND * 60, budgets=cap) for b in boards)
        places = tuple(Place(3.0 * number, 0.0) for number in range(3))
        self.hall = HallDay(FAIR, LONDON, DATE, hours, days, places, (ROW,))
        self.stalls = [
            OneStall(name, day, self.clock, self.joining, bank, Recorder(Journal()))
            for name, day in zip(NAMES, days, strict=True)
        ]
        self.organiser = Organiser(self.hall, self.joining, self.clock, "organiser", PACE)
        opened.callback(self.organiser.close)
        for stall in self.stalls:
            opened.callback(stall.leave)

    def plan(self, *starts):
        """The joint plan with these starts for each stall, in minutes after opening."""
        given = tuple(tuple(Performance(at(m), TUNE) for m in each) for each in starts)
        return HallPlan(self.hall, given, tuple(len(each) for each in given))

    def begin(self, *starts):
        for stall, minutes in zip(self.stalls, starts, strict=True):
            stall.switch_on().begin(tuple(Performance(at(m), TUNE) for m in minutes), None)
        self.until(lambda: all(stall.member.is_up for stall in self.stalls))

    def until(self, holds, seconds=20.0):
        """The network gets its time, while the day's clock stands."""
        ends = time.monotonic() + seconds
        while not holds():
            assert time.monotonic() < ends, f"not within {seconds} s"
            self.look()
            time.sleep(0.005)

    def look(self):
        for stall in self.stalls:
            stall.running.neighbours.look()

    def settle(self):
        """All that was said has been heard."""
        for _ in range(15):
            self.look()
            time.sleep(0.01)

    def live(self, minutes, asks=0.0):
        """The day goes on to then; of all seconds, on a share `asks` somebody asks somewhere."""
        luck = random.Random(minutes)
        while self.clock.now() < at(minutes):
            self.clock.turn_to(min(self.clock.now() + self.step(), at(minutes)))
            self.look()
            self.wait_for_the_line()
            if luck.random() < asks:
                luck.choice(self.stalls).running.asked("visitor")

    def wait_for_the_line(self):
        """The day passes some hundred times as fast as it would, and the network does not."""
        time.sleep(0.001)
        ends = time.monotonic() + 0.2
        while self.asks_leave() and time.monotonic() < ends:
            time.sleep(0.005)
        if self.reached:
            self.until(lambda: all(stall.member.is_up for stall in self.stalls))

    def asks_leave(self):
        """True while a start that is due waits for an answer."""
        now, coming = self.clock.now(), [stall.state.next for stall in self.stalls]
        return any(slot is not None and slot.starts <= now for slot in coming)

    def step(self):
        """Second by second where something starts, and faster between."""
        now, coming = self.clock.now(), [stall.state.next for stall in self.stalls]
        near = any(
            -2 * SECOND <= now - slot.starts <= 10 * SECOND for slot in coming if slot is not None
        )
        return SECOND if near else 5 * SECOND

    def neighbours_overlap(self):
        """Where two neighbours sounded at once."""
        found = []
        for one, other in ((0, 1), (1, 2)):
            for mine in self.stalls[one].sounded():
                found += [mine for each in self.stalls[other].sounded() if mine.meets(each)]
        return found

    def broken_promises(self):
        now = self.clock.now()
        return [
            promise
            for stall in self.stalls
            for promise in promises_at(stall.state, now)
            if promise.outcome is Outcome.BROKEN
        ]


class Broker:
    """A mosquitto on a free port of this machine alone; whoever comes may speak."""

    def __init__(self, folder):
        self.port = free_port()
        self._settings = folder / "mosquitto.conf"
        self._settings.write_text(f"listener {self.port} 127.0.0.1\nallow_anonymous true\n")
        self._process = None

    def start(self):
        found = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin")
        if found is None:
            pytest.skip("mosquitto, the broker that this is tried on, is not installed")
        quietly = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self._process = subprocess.Popen([found, "-c", str(self._settings)], **quietly)
        ends = time.monotonic() + 10
        while not self._listens():
            assert self._process.poll() is None and time.monotonic() < ends, "it does not start"
            time.sleep(0.01)

    def kill(self):
        if self._process is not None:
            self._process.kill()
            self._process.wait(10)
            self._process = None

    def _listens(self):
        with closing(socket.socket()) as tried:
            return tried.connect_ex(("127.0.0.1", self.port)) == 0


def free_port():
    with closing(socket.socket()) as tried:
        tried.bind(("127.0.0.1", 0))
        return int(tried.getsockname()[1])


@pytest.fixture
def row(english, tmp_path):
    with ExitStack() as opened:
        broker = Broker(tmp_path)
        broker.start()
        opened.callback(broker.kill)
        made = Row(broker.port, english, opened)
        made.broker = broker
        yield made


APART = ((5, 15, 25, 35, 45), (10, 20, 30, 40, 50), (5, 15, 25, 35, 45))
"""Those at the ends of the row sound together, the one between them in turn with both."""


def test_a_handed_plan_is_lived_by_all_and_no_neighbours_sound_at_once(row):
    row.begin(*APART)
    row.organiser.publish(row.plan(*APART))
    row.until(lambda: all(stall.state.hall.planned for stall in row.stalls))
    row.settle()
    row.live(60, asks=0.02)
    assert [len(stall.starts()) for stall in row.stalls] == [5, 5, 5]
    assert not row.neighbours_overlap()
    assert not row.broken_promises()


def test_all_want_the_same_times_and_still_no_neighbours_sound_at_once(row):
    row.organiser.publish(row.plan((), (), ()))
    wanted = (5, 12, 19, 26, 33, 40)
    row.begin(wanted, wanted, wanted)
    row.organiser.publish(row.plan(wanted, (), wanted))  # the rules come with it
    row.until(lambda: all(stall.member.follows for stall in row.stalls))
    row.settle()
    row.stalls[1].running.tell(["add", "10:05"])
    row.live(60, asks=0.02)
    assert not row.neighbours_overlap()
    assert not row.broken_promises()
    assert all(stall.starts() for stall in row.stalls[::2])


def test_at_noon_a_new_plan_comes_and_what_was_promised_is_kept(row):
    row.begin(*APART)
    row.organiser.publish(row.plan(*APART))
    row.until(lambda: all(stall.state.hall.planned for stall in row.stalls))
    row.settle()
    row.live(21)
    told = row.stalls[0].running.asked("visitor").told
    assert told == at(25)
    row.settle()
    other = ((30, 40), (35, 45, 50), (30, 40))
    row.organiser.publish(row.plan(*other))
    row.until(lambda: all(len(stall.state.hall.planned) < 5 for stall in row.stalls))
    row.settle()
    row.live(60)
    assert row.stalls[0].kept(told)
    assert row.stalls[1].kept(at(35))
    assert not row.neighbours_overlap()
    assert not row.broken_promises()


def test_quiet_in_the_hall_reaches_all_and_stops_what_plays(row):
    row.begin(*APART)
    row.organiser.publish(row.plan(*APART))
    row.until(lambda: all(stall.state.hall.planned for stall in row.stalls))
    row.settle()
    row.live(16)
    assert [stall.state.stage for stall in row.stalls].count(Stage.PLAYING) == 2
    begun = time.monotonic()
    call = row.organiser.quiet(3, "the mayor speaks")
    row.until(lambda: all(stall.state.hall.hush(call) for stall in row.stalls))
    assert time.monotonic() - begun < 5
    assert all(stall.state.playing is None for stall in row.stalls)
    row.live(19)
    assert all(span.end <= at(16.1) for stall in row.stalls for span in stall.sounded())
    row.live(60)
    assert not row.neighbours_overlap()
    assert all(stall.starts()[-1] > at(30) for stall in row.stalls)


def test_the_broker_goes_and_every_stall_goes_on_with_its_plan(row):
    row.begin(*APART)
    row.organiser.publish(row.plan(*APART))
    row.until(lambda: all(stall.state.hall.planned for stall in row.stalls))
    row.settle()
    row.live(12, asks=0.02)
    row.broker.kill()
    row.reached = False
    row.until(lambda: all(stall.member.trouble for stall in row.stalls))
    row.live(32, asks=0.02)
    row.broker.start()
    row.until(lambda: all(stall.member.is_up for stall in row.stalls))
    row.reached = True
    row.live(60, asks=0.02)
    assert [len(stall.starts()) for stall in row.stalls] == [5, 5, 5]
    assert not row.neighbours_overlap()
    assert not row.broken_promises()


def test_a_stall_that_loses_its_power_comes_back_to_its_promises(row):
    row.begin(*APART)
    row.organiser.publish(row.plan(*APART))
    row.until(lambda: all(stall.state.hall.planned for stall in row.stalls))
    row.settle()
    row.live(12)
    cart = row.stalls[1]
    assert cart.running.asked("visitor").told == at(20)
    hall = cart.state.hall
    cart.loses_power()
    row.stalls.remove(cart)
    row.live(14)
    row.stalls.insert(1, cart)
    cart.switch_on().resume(tuple(cart.journal))
    assert cart.state.hall.planned == hall.planned
    assert cart.state.stage is Stage.HELD
    row.until(lambda: cart.member.is_up)
    cart.running.tell(["release"])
    row.live(60)
    assert cart.kept(at(20))
    assert not row.neighbours_overlap()
    assert not row.broken_promises()
    for stall in row.stalls:
        assert fold(stall.fresh, stall.journal) == stall.state
