"""The live day: what a press costs, what an idle hour costs, how fast the past is read."""

from __future__ import annotations

import contextlib
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pexpect

from showtime.fair import Plan
from showtime.live import DayState, Desk, Journal, RunningDay, SimulatedClock, World, fold
from showtime.live import events as happened
from showtime.live.journal.recorder import Recorder
from showtime.live.planned import replanner
from showtime.live.ports import IdleFigure, WordsOnly
from showtime.live.speaking import Voiced
from showtime.planning import replan, why_not
from showtime.settings import shipped
from showtime.voice import ClipStore, EmbeddedVoice, open_player
from showtime.wording import Kind
from tests.bench.row import Row, seconds


def rows() -> Iterator[Row]:
    desk = Desk.of(shipped("config/tin-orchard.yaml"))
    day = desk.stall.days[0]
    plan = desk.plan(day, 60.0)
    yield from _presses(desk, plan)
    noon = day.hours.start + timedelta(hours=2)
    yield Row(
        "why, demo day",
        seconds(lambda: why_not(day, plan, noon + timedelta(minutes=30))),
        "s",
        0.3,
        "in process, the plan made before",
    )
    played = tuple(p for p in plan.performances if p.starts < noon)
    coming = tuple(p for p in plan.performances if p.starts >= noon)
    yield Row(
        "the rest of the day planned anew at noon",
        seconds(
            lambda: replan(
                day, now=noon, played=played, promised=coming[:1], near=coming, limit=20.0,
                monotonic=time.monotonic,
            )
        ),
        "s",
        0.15,
    )  # fmt: skip
    yield Row(
        "a rehearsed day",
        statistics.median(desk.rehearse(plan, seed)[1] for seed in range(7)),
        "s",
        1.0,
        "the plan made before; median of 7 seeds",
    )
    yield _orders(desk, plan)
    yield from _folding(desk, plan)
    yield from _cold_starts()
    yield from _idle()


def _presses(desk: Desk, plan: Plan) -> Iterator[Row]:
    """From the press, through the journal on disk, to the first sample at the null device."""
    stall = desk.stall
    with tempfile.TemporaryDirectory() as folder:
        clock = SimulatedClock(plan.day.hours.start)
        player, trouble = open_player("null")
        assert not trouble
        voice = EmbeddedVoice(stall.speaking.voice, stall.speaking.words_a_minute)
        store = ClipStore(voice)
        playbacks: list[object] = []
        play = player.play

        def noted(clip: object, *, gain: float = 1.0) -> object:
            playbacks.append(play(clip, gain=gain))
            return playbacks[-1]

        player.play = noted
        world = World(
            journal=Recorder(Journal(Path(folder) / "bench.journal")),
            clock=clock,
            alarms=clock,
            speech=Voiced(store, player),
            figure=IdleFigure(),
            banks=desk.banks(),
            random=random.Random(1),
            replanner=replanner(time.monotonic),
        )
        aloud = replace(plan.day, quiet=())
        running = RunningDay(DayState(aloud, stall.keep_within), world)
        running.begin(plan.performances, None)
        warm = []
        for _ in range(300):
            clock.turn_to(clock.now() + timedelta(seconds=20))
            time.sleep(0.06)  # visitors leave more time than that for a clip to be rendered ahead
            begun = time.perf_counter()
            running.asked("bench")
            playbacks[-1].wait_until_started(1)
            warm.append(time.perf_counter() - begun)
            player.stop()
        running.end()
    yield Row(
        "press to first sample, 99th percentile",
        sorted(warm)[int(len(warm) * 0.99) - 1] * 1000,
        "ms",
        20.0,
        f"journalled on disk first; null device; median {statistics.median(warm) * 1000:.1f} ms; "
        "a render at each press stands beside it in the voice's rows",
    )


def _orders(desk: Desk, plan: Plan) -> Row:
    """Each of the keeper's orders, to the journal on disk, and taken back again."""
    clock = SimulatedClock(plan.day.hours.start + timedelta(minutes=15))
    taken = []
    with tempfile.TemporaryDirectory() as folder:
        world = World(
            journal=Recorder(Journal(Path(folder) / "bench.journal")),
            clock=clock,
            alarms=clock,
            speech=WordsOnly(clock),
            figure=IdleFigure(),
            banks=desk.banks(),
            random=random.Random(1),
            replanner=lambda state, now: None,
        )
        running = RunningDay(DayState(plan.day, desk.stall.keep_within), world)
        running.begin(plan.performances, None)
        for order in ("late 5", "skip", "undo", "off 11:05", "quiet 10", "close 16:00", "hold") * 5:
            begun = time.perf_counter()
            running.tell(order.split())
            taken.append(time.perf_counter() - begun)
            running.tell(["release"] if order == "hold" else ["undo"])
        running.end()
    return Row(
        "an order of the keeper's, to the journal: median",
        statistics.median(taken) * 1000,
        "ms",
        5.0,
        f"of seven kinds; slowest {max(taken) * 1000:.0f} ms, where the rest is put in order; "
        "decided outside the lock that answers and starts take",
    )


def _folding(desk: Desk, plan: Plan) -> Iterator[Row]:
    fresh = DayState(plan.day, desk.stall.keep_within)
    begin = plan.day.hours.start
    several: list[happened.Event] = []
    for number in range(100_000):
        at = begin + timedelta(milliseconds=200 * number)
        told = plan.starts[number % len(plan.starts)]
        if number % 3:
            several.append(happened.Asked(at=at, trigger="clicker"))
        else:
            several.append(
                happened.Answered(
                    at=at, trigger="clicker", kind=Kind.NEXT, text=f"words {number}",
                    language="en", template=number % 9, told=told, spoken="aloud",
                )
            )  # fmt: skip
    yield Row("100,000 events folded", seconds(lambda: fold(fresh, several), 3), "s", 0.3)


def _cold_starts() -> Iterator[Row]:
    words = ["-m", "showtime", "next", "--now", "2027-02-13T14:12", "--silent"]
    taken = seconds(lambda: _process(*words), 9)
    bare = seconds(lambda: _process("-c", "pass"), 9)
    yield Row(
        "next --silent, a process from its start to its end",
        taken,
        "s",
        0.3,
        f"the plan kept from before; a bare interpreter takes {bare:.3f} s in the same run",
    )
    with tempfile.TemporaryDirectory() as empty:
        fresh = seconds(lambda: _process(*words, XDG_CACHE_HOME=empty + str(time.time_ns())), 5)
    yield Row("  with the day planned first", fresh, "s")


def _process(*words: str, **environment: str) -> None:
    command = [sys.executable, *words]
    env = {**os.environ, **environment}
    subprocess.run(command, check=True, env=env, stdout=subprocess.DEVNULL, timeout=60)


def _idle(watched: float = 20.0) -> Iterator[Row]:
    """The live day with nobody asking, on a terminal, its sound card open."""
    with tempfile.TemporaryDirectory() as folder:
        screen = pexpect.spawn(
            sys.executable,
            ["-m", "showtime", "run", "--as-if", "2027-02-13T10:28"],
            env={**os.environ, "SHOWTIME_SOUND_CARD": "null", "XDG_DATA_HOME": folder},
            dimensions=(24, 80),
            timeout=30,
        )
        screen.expect("NEXT")
        _drain(screen, 36.0)  # after half a minute of silence the sound card rests
        before = _cpu(screen.pid)
        _drain(screen, watched)
        share = (_cpu(screen.pid) - before) / watched
        memory = _memory(screen.pid)
        screen.send("q")
        screen.close(force=True)
    yield Row(
        "idle run: share of a core",
        share * 100,
        "%",
        1.0,
        f"{watched:g} s taken for the hour: screen drawn, sound card at rest",
    )
    yield Row("idle run: memory", memory, "MB", 70.0, "resident set")


def _drain(screen: object, length: float) -> None:
    ends = time.monotonic() + length
    while time.monotonic() < ends:
        with contextlib.suppress(pexpect.TIMEOUT):
            screen.read_nonblocking(65536, timeout=0.5)


def _cpu(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _memory(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text()
    resident = next(line for line in status.splitlines() if line.startswith("VmRSS"))
    return int(resident.split()[1]) / 1024
