"""Figures of the line between stalls: thirty in one process, on brokers of this machine.

At a fair each stall is a machine of its own; here thirty share one, so these figures are the worst.
"""

from __future__ import annotations

import shutil
import socket
import statistics
import subprocess
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from showtime.fair import Day, Performance, Piece, Signboard, Span, Stall
from showtime.fair.hall import Fair, HallPlan, Joining, Place, Stand, Together
from showtime.fairnet import Member, Organiser, access_of, mosquitto_setup, open_broker
from showtime.live.clock.kernel import ThisMachine
from showtime.live.clock.steady import SteadyClock
from showtime.live.clock.trust import Source, Trusted
from showtime.live.hall import Leave, PlanHanded, QuietCalled
from tests.bench.row import Row

COUNT, RUNS = 30, 7
OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
HOURS = Span(OPENS, OPENS + timedelta(hours=7))
BELLS = Piece("Bells", timedelta(minutes=4))


def stand(number: int) -> Stand:
    signboard = Signboard("Fair", f"Stall {number}", "Figure", ("en",), ZoneInfo("UTC"))
    stall = Stall(signboard, (Day(signboard, date(2027, 2, 13), HOURS, (BELLS,)),))
    return Stand(stall, Place(3.0 * (number % 6), 3.0 * (number // 6)))


FAIR = Fair(
    "Fair",
    ZoneInfo("UTC"),
    ((date(2027, 2, 13), HOURS),),
    tuple(stand(number) for number in range(COUNT)),
    (Together(1, 3.0), Together(COUNT // 3)),
)


def free_port() -> int:
    with closing(socket.socket()) as tried:
        tried.bind(("127.0.0.1", 0))
        return int(tried.getsockname()[1])


@contextmanager
def a_mosquitto(folder: Path) -> Iterator[Callable[[str], Joining]]:
    port = free_port()
    setup = mosquitto_setup(folder, FAIR, "127.0.0.1", port=port)
    subprocess.run(["sh", str(setup.certificates)], cwd=folder, check=True, capture_output=True)
    with setup.settings.open("a", encoding="utf-8") as settings:
        settings.write("user root\n")
    found = shutil.which("mosquitto") or "/usr/sbin/mosquitto"
    process = subprocess.Popen([found, "-c", str(setup.settings)], stderr=subprocess.DEVNULL)
    try:
        ca = folder / "fair-ca.pem"
        yield lambda user: Joining("127.0.0.1", port, user, setup.passwords / f"{user}.txt", ca)
    finally:
        process.kill()
        process.wait()


@contextmanager
def an_embedded(folder: Path) -> Iterator[Callable[[str], Joining]]:
    port = free_port()
    broker = open_broker("127.0.0.1", port, access_of(folder, FAIR))
    try:
        words = folder / "passwords"
        yield lambda user: Joining("127.0.0.1", port, user, words / f"{user}.txt")
    finally:
        broker.close()


def until(holds: Callable[[], object]) -> None:
    while not holds():
        time.sleep(0.002)


def measured(joining: Callable[[str], Joining]) -> tuple[list[float], list[float]]:
    """Seconds from "quiet now" to the last stall, and from asking leave to having it."""
    hall = FAIR.hall(date(2027, 2, 13))
    assert hall is not None
    clock = SteadyClock(ThisMachine(), Trusted(Source.PRETENDED, OPENS))
    last: dict[int, list[tuple[float, Any]]] = {number: [] for number in range(COUNT)}
    with ExitStack() as stack:
        desk = Organiser(hall, joining("organiser"), clock, "desk")
        stack.callback(desk.close)
        members = []
        for number, each in enumerate(FAIR.stands):
            member = Member(each.stall, joining(f"stall-{number}"), clock)
            stack.callback(member.close)
            member.listen(lambda word, n=number: last[n].append((time.perf_counter(), word)))
            members.append(member)
        until(lambda: all(member.is_up for member in members))
        given = tuple((Performance(OPENS + timedelta(hours=6), BELLS),) for _ in range(COUNT))
        desk.publish(HallPlan(hall, given, (1,) * COUNT))
        until(lambda: all(_has(last[n], PlanHanded, 1) for n in last))
        quiet = [_quiet(desk, last, run) for run in range(RUNS)]
        time.sleep(6)  # until everybody was heard since the plan came
        leave = [_leave(members[4 * run], clock, run) for run in range(RUNS)]
    return quiet, leave


def _has(words: list[tuple[float, Any]], kind: type, count: int) -> bool:
    return sum(isinstance(word, kind) for _, word in words) >= count


def _quiet(desk: Organiser, last: dict[int, list[tuple[float, Any]]], run: int) -> float:
    begun = time.perf_counter()
    desk.quiet(1, "now")
    until(lambda: all(_has(words, QuietCalled, run + 1) for words in last.values()))
    heard = [at for words in last.values() for at, word in words if isinstance(word, QuietCalled)]
    return max(heard) - begun


def _leave(member: Member, clock: SteadyClock, run: int) -> float:
    now = clock.now()
    starts = now + timedelta(hours=run / 2)
    span = Span(starts, starts + timedelta(minutes=2))
    begun = time.perf_counter()
    while member.leave(span, now) is not Leave.GIVEN:
        time.sleep(0.001)
    return time.perf_counter() - begun


def raw(joining: Joining) -> float:
    """The same with nothing but the client library: one tells, thirty hear; the median."""
    import ssl

    import paho.mqtt.client as mqtt
    from paho.mqtt.enums import CallbackAPIVersion

    heard, made = threading.Semaphore(0), []

    def client() -> Any:
        one = mqtt.Client(CallbackAPIVersion.VERSION2)
        assert joining.password_file is not None
        one.username_pw_set(joining.user, joining.password_file.read_text("utf-8").strip())
        if joining.ca:
            one.tls_set_context(ssl.create_default_context(cafile=str(joining.ca)))
        one.connect(joining.broker, joining.port)
        one.loop_start()
        made.append(one)
        return one

    topic = "showtime/1/Fair/2027-02-13/organiser/desk/raw"
    for _ in range(COUNT):
        one = client()
        one.on_message = lambda *heard_of: heard.release()
        one.subscribe(topic, qos=1)
    teller, taken = client(), []
    time.sleep(0.5)
    for _ in range(RUNS):
        begun = time.perf_counter()
        teller.publish(topic, b"x" * 200, qos=1)
        for _ in range(COUNT):
            heard.acquire(timeout=5)
        taken.append(time.perf_counter() - begun)
    for one in made:
        one.disconnect()
        one.loop_stop()
    return statistics.median(taken)


def rows() -> Iterator[Row]:
    brokers = [("mosquitto, TLS", a_mosquitto), ("embedded broker", an_embedded)]
    for name, opened in brokers:
        with tempfile.TemporaryDirectory() as folder, opened(Path(folder)) as joining:
            until(lambda: _listens(joining("organiser").port))  # noqa: B023  # called at once
            quiet, leave = measured(joining)
            beside = f"worst of {RUNS}"
            if opened is a_mosquitto:
                alone = raw(joining("organiser"))
                beside += f"; the client library alone {alone * 1000:.0f} ms (median)"
        yield Row(f'"quiet now" to the last of {COUNT}, {name}', max(quiet), "s", 1.0, beside)
        median = f"median of {RUNS}, worst {max(leave):.2g} s; {COUNT - 1} neighbours asked"
        yield Row(f"leave asked to given, {name}", statistics.median(leave), "s", None, median)


def _listens(port: int) -> bool:
    with closing(socket.socket()) as tried:
        return tried.connect_ex(("127.0.0.1", port)) == 0
