"""The stall's pages: how soon a change is seen, what they weigh, what they cost the machine."""

from __future__ import annotations

import http.client
import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path

from showtime.faces.pages import PageServer, open_pages
from showtime.live import Desk, House, open_house
from tests.bench.row import Row

_CHANGES = 200
_LOAD = 200
_HERE = "127.0.0.1"


def rows() -> Iterator[Row]:
    """Each is measured on the loop of this machine, with the demo stall."""
    with tempfile.TemporaryDirectory() as folder:
        for place in ("DATA", "CACHE", "CONFIG"):
            os.environ[f"XDG_{place}_HOME"] = folder
        with _open("10:29:30") as (house, pages):
            yield _change(house, pages)
            yield _weight(pages)
        with _open("10:44:55") as (house, pages):
            yield _start_under_load(house, pages)
            yield _answer_under_load(house, pages)
        yield from _whole_program(Path(folder))


@contextmanager
def _open(clock: str) -> Iterator[tuple[House, PageServer]]:
    house = open_house(Desk.of(None), "", f"2027-02-13T{clock}", None, silent=True, seed=1)
    pages = open_pages(house, 0)
    try:
        yield house, pages
    finally:
        pages.close()
        house.day.end()


def _change(house: House, pages: PageServer) -> Row:
    calling = http.client.HTTPConnection(_HERE, pages.where.port, timeout=10)
    calling.request("GET", "/changes")
    stream = calling.getresponse()
    _next_sheets(stream)
    taken = []
    for number in range(_CHANGES):
        begun = time.perf_counter()
        house.tell(["release" if number % 2 else "hold"])
        _next_sheets(stream)
        taken.append(time.perf_counter() - begun)
    calling.close()
    worst = sorted(taken)[int(0.99 * len(taken))]
    how = f"99th percentile of {_CHANGES}: order, journal, board's stream"
    return Row("change to board", worst * 1000, "ms", 100, how)


def _next_sheets(stream: http.client.HTTPResponse) -> None:
    while True:
        line = stream.readline()
        if line.startswith(b"data: ") and "sheets" in json.loads(line[6:]):
            return


def _weight(pages: PageServer) -> Row:
    total = 0
    for path in ("/", "/board.css", "/board.js", "/hand.svg", "/mark.svg"):
        calling = http.client.HTTPConnection(_HERE, pages.where.port, timeout=10)
        calling.request("GET", path)
        total += len(calling.getresponse().read())
        calling.close()
    return Row("weight of the board", total / 1000, "kB", 60, "all that a phone loads, unpacked")


def _start_under_load(house: House, pages: PageServer) -> Row:
    slot = house.day.state.upcoming[0]
    seconds = (slot.starts - house.clock.now()).total_seconds() + 2
    words = [sys.executable, "-c", _CALLERS, str(pages.where.port), str(_LOAD), str(seconds)]
    called = subprocess.run(words, capture_output=True, text=True, check=True, timeout=60)
    late = (house.day.state.played[0].started - slot.starts) / timedelta(milliseconds=1)
    how = f"{float(called.stdout):.0f} requests a second from another process"
    return Row("start fired late under load", late, "ms", 20, how)


def _answer_under_load(house: House, pages: PageServer) -> Row:
    alone = _asked(house)
    words = [sys.executable, "-c", _CALLERS, str(pages.where.port), str(_LOAD), "6"]
    with subprocess.Popen(words, stdout=subprocess.DEVNULL):
        time.sleep(1)
        loaded = _asked(house)
    how = f"99th percentile of 100, to the journal and the words; without load {alone:.3g} ms"
    return Row("answer under load", loaded, "ms", 20, how)


def _asked(house: House) -> float:
    """Milliseconds of a question, the 99th of a hundred, at a visitor's pace."""
    taken = []
    for _ in range(100):
        begun = time.perf_counter()
        house.day.asked("key")
        taken.append(time.perf_counter() - begun)
        time.sleep(0.035)
    return 1000 * sorted(taken)[98]


_CALLERS = """
import http.client, sys, threading, time
port, rate, seconds = int(sys.argv[1]), float(sys.argv[2]) / 4, float(sys.argv[3])
sent, begun = [0], time.perf_counter()
def call():
    calling, due = http.client.HTTPConnection("127.0.0.1", port, timeout=10), time.perf_counter()
    while time.perf_counter() - begun < seconds:
        calling.request("GET", "/")
        calling.getresponse().read()
        sent[0] += 1
        due += 1 / rate
        time.sleep(max(0.0, due - time.perf_counter()))
    calling.close()
callers = [threading.Thread(target=call) for _ in range(4)]
[caller.start() for caller in callers]
[caller.join() for caller in callers]
print(sent[0] / (time.perf_counter() - begun))
"""
"""Four browsers that ask at a steady pace, and how many they were answered each second."""


def _whole_program(folder: Path) -> Iterator[Row]:
    """`run --board` as it stands on a stall, a board looking on, in a minute without events."""
    port = _free_port()
    words = ["run", "--as-if", "2027-02-13T10:30:30", "--silent", "--board", "--port", str(port)]
    running = subprocess.Popen(
        [sys.executable, "-m", "showtime", *words],
        env={**os.environ, "XDG_CACHE_HOME": str(folder / "fresh")},  # so that it plans, too
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
    )
    try:
        calling = _board(port)
        time.sleep(4)
        before, begun = _cpu(running.pid), time.perf_counter()
        time.sleep(20)
        share = 100 * (_cpu(running.pid) - before) / (time.perf_counter() - begun)
        memory = _memory(running.pid)
        calling.close()
    finally:
        running.terminate()
        running.wait(20)
    yield Row("memory of run --board", memory, "MB", 90, "resident; plan made, one board open")
    yield Row("idle CPU of run --board", share, "%", 1.5, "of one core over 20 s, one board open")


def _board(port: int) -> http.client.HTTPConnection:
    for _ in range(150):
        try:
            calling = http.client.HTTPConnection(_HERE, port, timeout=60)
            calling.request("GET", "/changes")
            calling.getresponse()
            return calling
        except OSError:
            time.sleep(0.2)
    raise RuntimeError("the board did not open")


def _cpu(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _memory(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text()
    line = next(each for each in status.splitlines() if each.startswith("VmRSS"))
    return int(line.split()[1]) / 1000


def _free_port() -> int:
    with socket.socket() as asking:
        asking.bind((_HERE, 0))
        return int(asking.getsockname()[1])
