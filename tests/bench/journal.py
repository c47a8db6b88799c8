"""The journal: what an event costs, how fast the past is read, how much room it takes."""

from __future__ import annotations

import os
import statistics
import tempfile
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

from showtime.live import DayState, Desk, Journal, fold
from showtime.live import events as happened
from showtime.live.journal.recorder import Recorder
from showtime.settings import shipped
from showtime.wording import Kind
from tests.bench.row import Row, seconds


def rows() -> Iterator[Row]:
    desk = Desk.of(shipped("config/tin-orchard.yaml"))
    day = desk.stall.days[0]
    fresh = DayState(day, desk.stall.keep_within)
    with tempfile.TemporaryDirectory() as folder:
        yield from _resuming(Path(folder) / "long.journal", fresh)
        yield from _asking(Path(folder) / "asked.journal", fresh)
        yield from _mending(Path(folder) / "long.journal")


def _answers(fresh: DayState, count: int) -> list[happened.Event]:
    begin = fresh.day.hours.start
    starts = [begin + timedelta(minutes=30 * number) for number in range(14)]
    return [
        happened.Answered(
            at=begin + timedelta(milliseconds=200 * number), trigger="clicker", kind=Kind.NEXT,
            text=f"In a good quarter of an hour, my friends: {number}.", language="en",
            template=number % 9, told=starts[number % 14], spoken="aloud",
        )
        if number % 3 == 0
        else happened.Asked(at=begin + timedelta(milliseconds=200 * number), trigger="clicker")
        for number in range(count)
    ]  # fmt: skip


def _resuming(path: Path, fresh: DayState) -> Iterator[Row]:
    journal = Journal(path)
    journal.append(*_answers(fresh, 100_000))
    journal.close()

    def resumed() -> None:
        again = Recorder.at(path)
        fold(fresh, again.history)
        again.close()

    yield Row(
        "resume after 100,000 events",
        seconds(resumed, 7),
        "s",
        0.3,
        "journal opened, proven whole, read and folded; every third an answer",
    )
    history = Recorder.at(path)
    events = history.history
    history.close()
    yield Row("  the folding alone", seconds(lambda: fold(fresh, events), 7), "s")
    size = path.stat().st_size / 1e6
    plain = seconds(path.read_bytes)
    yield Row("  its file", size, "MB", None, f"its bytes alone are read in {plain * 1000:.0f} ms")


def _asking(path: Path, fresh: DayState) -> Iterator[Row]:
    journal = Recorder.at(path)
    taken, largest = [], 0
    for event in [e for e in _answers(fresh, 15_000) if isinstance(e, happened.Answered)]:
        begun = time.perf_counter()
        journal.append(event)
        taken.append(time.perf_counter() - begun)
        if len(taken) % 100 == 0:
            largest = max(largest, sum(file.stat().st_size for file in path.parent.glob("asked*")))
    journal.close()
    raw = _synced_write(path.with_name("raw"), 200)
    yield Row(
        "an event on disk, median of 5,000",
        statistics.median(taken) * 1000,
        "ms",
        5.0,
        f"99th percentile {sorted(taken)[4949] * 1000:.2f} ms; a bare 4 KiB write with fdatasync "
        f"takes {raw * 1000:.2f} ms in the same folder",
    )
    yield Row(
        "5,000 answers: all the journal's files",
        largest / 1e6,
        "MB",
        5.0,
        f"at their largest while it runs; {path.stat().st_size / 1e6:.2f} MB when it is closed",
    )


def _synced_write(path: Path, times: int) -> float:
    taken = []
    with path.open("wb", buffering=0) as file:
        for _ in range(times):
            begun = time.perf_counter()
            file.write(bytes(4096))
            os.fdatasync(file.fileno())
            taken.append(time.perf_counter() - begun)
    return statistics.median(taken)


def _mending(path: Path) -> Iterator[Row]:
    whole = path.read_bytes()
    middle = len(whole) // 2 // 4096 * 4096
    path.write_bytes(whole[:middle] + bytes(4096) + whole[middle + 4096 :])
    begun = time.perf_counter()
    journal = Journal(path)
    taken = time.perf_counter() - begun
    journal.close()
    yield Row(
        "100,000 events rescued from a damaged file",
        taken,
        "s",
        None,
        f"one page of {len(whole) // 4096} blank: {len(journal.history):,} events read, "
        "written anew",
    )
