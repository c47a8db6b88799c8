"""What is pressed: from the hand to the first sample at the sound card."""

from __future__ import annotations

import random
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from gpiozero.pins.mock import MockFactory

from showtime.fair.wiring import Button, Clicker, Input, Port, Wire
from showtime.live import DayState, Desk, House, Journal, RunningDay, SimulatedClock, World
from showtime.live.journal.recorder import Recorder
from showtime.live.ports import IdleFigure
from showtime.live.speaking import Voiced
from showtime.settings import shipped
from showtime.triggers import Board, Inputs
from showtime.triggers.standins import HandKeyboards, HandLine, HandPin, HandRemote
from showtime.voice import ClipStore, EmbeddedVoice, open_player
from tests.bench.row import Row

PRESSES = 200
TARGET = 25.0


def rows() -> Iterator[Row]:
    desk = Desk.of(shipped("config/tin-orchard.yaml"))
    with tempfile.TemporaryDirectory() as folder, a_day(desk, Path(folder)) as live:
        house, clock, wait = live
        path = str(Path(folder) / "line")
        line, factory = HandLine(path), MockFactory()
        remote, pin = HandRemote("Presenter"), HandPin(factory, 17)
        wired = [Button(Port(path)), Button(Wire("17")), Button(Clicker("Presenter"))]
        board = Board(HandKeyboards([remote]), factory)
        with taken_up(wired, house, board):
            bare = sorted(pressed(clock, wait, lambda: house.hands.do(("ask",), "bare"), nothing))
            hands = (
                ("a pty", line.press, line.release),
                ("a mock pin", pin.press, pin.release),
                ("a stand-in for a clicker", remote.press, remote.release),
            )
            yield from reaching(house, hands)
            for name, press, release in hands:
                taken = sorted(pressed(clock, wait, press, release))
                yield Row(
                    f"press to first sample through {name}, 99th percentile",
                    share(taken, 0.99),
                    "ms",
                    TARGET,
                    f"median {statistics.median(taken):.1f} ms; journalled on disk first; null "
                    f"device; the same press without a device {share(bare, 0.99):.1f} ms",
                )
        line.close()


Hands = Sequence[tuple[str, Callable[[], None], Callable[[], None]]]


def reaching(house: House, hands: Hands) -> Iterator[Row]:
    """Only the way from the hand to the day: what devices add to a press of a key."""
    do, news = house.hands.do, threading.Event()
    house.hands.do = lambda deed, by: news.set()
    for name, press, release in hands:
        taken = []
        for _ in range(PRESSES):
            news.clear()
            begun = time.perf_counter()
            press()
            assert news.wait(2)
            taken.append((time.perf_counter() - begun) * 1000)
            time.sleep(0.012)  # longer than a contact bounces
            release()
            time.sleep(0.012)
        taken.sort()
        beside = f"median {statistics.median(taken):.2f} ms"
        yield Row(
            f"press to the day through {name}, 99th percentile",
            share(taken, 0.99),
            "ms",
            5.0,
            beside,
        )
    house.hands.do = do


def nothing() -> None:
    """Where there is no button to be let go."""


def share(taken: Sequence[float], part: float) -> float:
    return taken[int(len(taken) * part) - 1]


@contextmanager
def taken_up(wired: Sequence[Input], house: House, board: Board) -> Iterator[None]:
    inputs = Inputs(wired, house.hands, print, board)
    trouble = inputs.start()
    assert not trouble, trouble
    yield
    inputs.close()


class OneDay:
    def following(self, running: RunningDay) -> None:
        return None

    def turns_to(self, day: object, now: object) -> None:
        return None


@contextmanager
def a_day(desk: Desk, folder: Path) -> Iterator[tuple[House, SimulatedClock, Callable[[], None]]]:
    """The demo day with a voice on the null device, and what waits for the next clip to sound."""
    plan = desk.plan(desk.stall.days[0], 60.0)
    clock = SimulatedClock(plan.day.hours.start)
    player, trouble = open_player("null")
    assert not trouble, trouble
    playbacks: list[object] = []
    play, heard = player.play, [0]

    def noted(clip: object, *, gain: float = 1.0) -> object:
        playbacks.append(play(clip, gain=gain))
        return playbacks[-1]

    def wait() -> None:
        until = time.perf_counter() + 2
        while len(playbacks) == heard[0] and time.perf_counter() < until:
            time.sleep(0.0002)
        heard[0] = len(playbacks)
        assert playbacks[-1].wait_until_started(2)

    player.play = noted
    world = World(
        journal=Recorder(Journal(folder / "bench.journal")),
        clock=clock,
        alarms=clock,
        speech=Voiced(ClipStore(EmbeddedVoice("", 170)), player),
        figure=IdleFigure(),
        banks=desk.banks(),
        random=random.Random(1),
        replanner=lambda state, now: None,
    )
    running = RunningDay(DayState(replace(plan.day, quiet=()), desk.stall.keep_within), world)
    running.begin(plan.performances, None)
    house = House(clock.steady, clock, lambda house: running, OneDay(), nothing)
    house.hands.micros = lambda: time.perf_counter_ns() // 1000  # contacts bounce in real time

    def next_one() -> None:
        wait()
        player.stop()

    yield house, clock, next_one
    running.end()
    player.close()


def pressed(
    clock: SimulatedClock,
    heard: Callable[[], None],
    press: Callable[[], None],
    release: Callable[[], None],
) -> Iterator[float]:
    """How many milliseconds each of the presses took."""
    for _ in range(PRESSES):
        clock.turn_to(clock.now() + timedelta(seconds=20))
        time.sleep(0.15)  # visitors leave more time than that for a clip to be rendered ahead
        begun = time.perf_counter()
        press()
        heard()
        yield (time.perf_counter() - begun) * 1000
        release()
