"""Halls to try the line on: stalls, brokers of both kinds on free ports, a clock that hurries."""

from __future__ import annotations

import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Signboard, Span, Stall
from showtime.fair.budgets import Performances
from showtime.fair.hall import Fair, HallDay, HallPlan, Joining, Place, Stand, Together
from showtime.fairnet import access_of, mosquitto_setup, open_broker
from showtime.fairnet.mosquitto import MosquittoSetup
from showtime.live.clock.kernel import ThisMachine
from showtime.live.clock.steady import SteadyClock
from showtime.live.clock.trust import Source, Trusted

LONDON = ZoneInfo("Europe/London")
DAY = date(2027, 2, 13)
OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
FAIR = "Osierholt Curiosity Fair"
CHIMES = Piece("Hedge Chimes", timedelta(minutes=4), timedelta(minutes=1), level_dba=70.0)


def stall_named(name: str, hours: float = 7) -> Stall:
    signboard = Signboard(FAIR, name, f"figure of {name}", ("en",), LONDON)
    cap = Performances(6, timedelta(hours=1), because="fair rule")
    open_ = Span(OPENS, OPENS + timedelta(hours=hours))
    day = Day(signboard, DAY, open_, (CHIMES,), gap=timedelta(minutes=1), budgets=(cap,))
    return Stall(signboard, (day,))


def hall_of(count: int, wide: int = 6, hours: float = 7) -> Fair:
    """Stalls on a grid of 3 m: next to each other one sounds at a time, in the hall a turn's."""
    stands = tuple(
        Stand(
            stall_named(f"Stall {number + 1}", hours),
            Place(3.0 * (number % wide), 3.0 * (number // wide)),
        )
        for number in range(count)
    )
    turns = [turn_of(number, wide) for number in range(count)]
    rules = (Together(1, 3.0), Together(max(2, *(turns.count(turn) for turn in range(4)))))
    open_ = Span(OPENS, OPENS + timedelta(hours=hours))
    return Fair(FAIR, LONDON, ((DAY, open_),), stands, rules)


def joining_as(fair: Fair, users: list[str]) -> Fair:
    """The same fair, its stalls' settings naming these users."""
    stands = tuple(
        replace(stand, stall=replace(stand.stall, joining=Joining("192.0.2.1", user=user)))
        for stand, user in zip(fair.stands, users, strict=True)
    )
    return replace(fair, stands=stands)


def turn_of(number: int, wide: int) -> int:
    """Which of four turns a stall has: no two of one turn are next to each other."""
    return number % wide % 2 + 2 * (number // wide % 2)


def plan_for(hall: HallDay, shift: int = 0, wide: int = 6) -> HallPlan:
    """In turns of five minutes, four of them a round."""
    given = []
    for number in range(len(hall.days)):
        turn = (turn_of(number, wide) + shift) % 4
        starts, found = hall.hours.start + timedelta(minutes=5 * (turn + 1)), []
        while starts + CHIMES.lasts <= hall.hours.end:
            found.append(Performance(starts, CHIMES))
            starts += timedelta(minutes=20)
        given.append(tuple(found))
    return HallPlan(hall, tuple(given), tuple(len(each) for each in given))


class Hurried(ThisMachine):
    """This machine, on which all time passes `pace` times as fast."""

    def __init__(self, pace: float) -> None:
        super().__init__()
        self.pace = pace
        self._begun, self._system = super().monotonic(), super().system()

    def boottime(self) -> timedelta:
        return (super().monotonic() - self._begun) * self.pace

    def monotonic(self) -> timedelta:
        return self.boottime()

    def system(self) -> datetime:
        return self._system + self.boottime()

    def synchronised(self) -> bool:
        return False


def clock_at(moment: datetime, pace: float = 1.0, ahead: float = 0.0) -> SteadyClock:
    shown = moment + timedelta(seconds=ahead)
    return SteadyClock(Hurried(pace), Trusted(Source.PRETENDED, shown))


def free_port() -> int:
    """A port that is free now, and that no client gets by chance while a broker is away."""
    while True:
        with closing(socket.socket()) as tried:
            tried.bind(("127.0.0.1", 0))
            port = 10_000 + int(tried.getsockname()[1]) % 20_000
        with closing(socket.socket()) as tried:
            try:
                tried.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port


def until(holds: Callable[[], object], seconds: float = 10.0) -> None:
    """Wait until that is so, or fail."""
    ends = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < ends, f"not within {seconds} s"
        time.sleep(0.005)


@dataclass
class RealBroker:
    """A mosquitto process that can be killed and started again."""

    setup: MosquittoSetup
    port: int
    plain_port: int
    process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        log = self.setup.settings.with_name("log").open("ab")
        command = [_mosquitto(), "-c", str(self.setup.settings)]
        self.process = subprocess.Popen(command, stdout=log, stderr=log)
        log.close()
        until(self._listens)

    def kill(self) -> None:
        if self.process is not None:
            self.process.kill()
            self.process.wait(10)
            self.process = None

    def joining(self, user: str, *, password: str | None = None) -> Joining:
        file = self.setup.passwords / f"{user}.txt"
        if password is not None:
            file = self.setup.settings.with_name("wrong.txt")
            file.write_text(password, "utf-8")
        ca = self.setup.settings.with_name("fair-ca.pem")
        return Joining("127.0.0.1", self.port, user, file, ca if ca.exists() else None)

    def _listens(self) -> bool:
        assert self.process is not None and self.process.poll() is None, self._log()
        with closing(socket.socket()) as tried:
            return tried.connect_ex(("127.0.0.1", self.port)) == 0

    def _log(self) -> str:
        return self.setup.settings.with_name("log").read_text("utf-8")


def _mosquitto() -> str:
    found = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin")
    if found is None:
        pytest.skip("mosquitto, the broker that this is tried on, is not installed")
    return found


def real_broker(
    folder: Path, fair: Fair, *, secret: bool = True, plain_door: bool = False
) -> RealBroker:
    port = free_port()
    setup = mosquitto_setup(folder, fair, "127.0.0.1", port=port, secret=secret)
    if setup.certificates:
        certificates(setup)
    with setup.settings.open("a", encoding="utf-8") as settings:
        settings.write("user root\n")  # no effect but where tests run as root: keep its files
    broker = RealBroker(setup, port, free_port() if plain_door else port)
    if plain_door:
        with setup.settings.open("a", encoding="utf-8") as settings:
            settings.write(f"listener {broker.plain_port} 127.0.0.1\n")
    broker.start()
    return broker


def certificates(setup: MosquittoSetup) -> None:
    """Run the script that makes them."""
    script, folder = str(setup.certificates), setup.settings.parent
    subprocess.run(["sh", script], cwd=folder, check=True, capture_output=True, timeout=60)


@dataclass
class SmallBroker:
    """The embedded broker; killing it takes every line from the stalls at once."""

    folder: Path
    fair: Fair
    port: int = field(default_factory=free_port)

    def start(self) -> None:
        access = access_of(self.folder, self.fair)
        self._broker = open_broker("127.0.0.1", self.port, access)

    @property
    def plain_port(self) -> int:
        return self.port

    def kill(self) -> None:
        self._broker.close()

    def joining(self, user: str, *, password: str | None = None) -> Joining:
        file = self.folder / "passwords" / f"{user}.txt"
        if password is not None:
            file = self.folder / "wrong.txt"
            file.write_text(password, "utf-8")
        return Joining("127.0.0.1", self.port, user, file)


@pytest.fixture(params=["mosquitto", "embedded"])
def broker_of(
    request: pytest.FixtureRequest, tmp_path: Path
) -> Iterator[Callable[..., RealBroker | SmallBroker]]:
    """Opens a broker for a fair, with users and rights: a real mosquitto over TLS, or our own."""
    opened: list[RealBroker | SmallBroker] = []

    def open_for(fair: Fair, *, plain_door: bool = False) -> RealBroker | SmallBroker:
        if request.param == "mosquitto":
            broker: RealBroker | SmallBroker = real_broker(tmp_path, fair, plain_door=plain_door)
        else:
            broker = SmallBroker(tmp_path, fair)
            broker.start()
        opened.append(broker)
        return broker

    open_for.real = request.param == "mosquitto"
    yield open_for
    for broker in opened:
        broker.kill()


@dataclass(frozen=True)
class Tried:
    """What every trial of the line needs."""

    fair_of: Callable[..., Fair] = staticmethod(hall_of)
    plan_for: Callable[..., HallPlan] = staticmethod(plan_for)
    clock_at: Callable[..., SteadyClock] = staticmethod(clock_at)
    until: Callable[..., None] = staticmethod(until)
    joining_as: Callable[..., Fair] = staticmethod(joining_as)
    certificates: Callable[..., None] = staticmethod(certificates)
    free_port: Callable[[], int] = staticmethod(free_port)
    span: Callable[[datetime, timedelta], Span] = staticmethod(lambda at, by: Span(at, at + by))
    day: date = DAY
    opens: datetime = OPENS
    chimes: Piece = CHIMES


@pytest.fixture
def trial() -> Tried:
    return Tried()


@pytest.fixture
def secret_broker(tmp_path: Path) -> Iterator[Callable[[Fair], RealBroker]]:
    """A real mosquitto over TLS."""
    opened: list[RealBroker] = []

    def open_for(fair: Fair) -> RealBroker:
        opened.append(real_broker(tmp_path, fair))
        return opened[-1]

    yield open_for
    for broker in opened:
        broker.kill()
