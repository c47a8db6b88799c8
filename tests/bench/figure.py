"""Figures of the link to the figure's controller, over a real terminal line of this machine."""

from __future__ import annotations

import binascii
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from showtime.fair import Controller, Day, Piece, Signboard, Span
from showtime.figure import Pace, PretendCable, PretendController, WiredFigure, wire, wired_figure
from showtime.figure.wire import Line
from tests.bench.row import Row, seconds

OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
BELLS = Piece("Bells", timedelta(minutes=5))
DAY = Day(
    Signboard("Fair", "Stall", "Figure", ("en",), ZoneInfo("UTC")),
    date(2027, 2, 13),
    Span(OPENS, OPENS + timedelta(hours=7)),
    (BELLS,),
)


@contextmanager
def at_a_line() -> Iterator[tuple[WiredFigure, PretendController, threading.Event]]:
    """A wired figure and its controller, which wakes as soon as something arrives."""
    with tempfile.TemporaryDirectory() as folder:
        cable = PretendCable(Path(folder) / "tty")
        controller = PretendController(cable, time.monotonic, Pace())
        over, stepped = threading.Event(), threading.Event()

        def live() -> None:
            while not over.is_set():
                cable.wait(0.02)
                controller.step()
                stepped.set()

        thread = threading.Thread(target=live, daemon=True)
        thread.start()
        figure = wired_figure(Controller(str(cable.path)), time.monotonic)
        figure.start()
        while not figure.ready:
            time.sleep(0.01)
        figure.follow(DAY, [], OPENS)
        time.sleep(0.1)
        yield figure, controller, stepped
        figure.close()
        over.set()
        thread.join()
        cable.unplug()


def until_it_moves(times: int) -> tuple[list[float], list[float]]:
    """Milliseconds from a word to the body, for starts and for stops."""
    starts, stops = [], []
    with at_a_line() as (figure, controller, stepped):
        for _ in range(times):
            for said, taken, moving in (
                (lambda: figure.play(BELLS), starts, True),
                (figure.stop, stops, False),
            ):
                begun = time.perf_counter()
                said()
                while controller.moving is not moving:
                    stepped.clear()
                    stepped.wait(0.001)
                taken.append((time.perf_counter() - begun) * 1000)
                time.sleep(0.004)
    return starts, stops


def percentile(taken: list[float], share: int) -> float:
    return statistics.quantiles(taken, n=100)[share - 1]


def rows() -> Iterator[Row]:
    starts, stops = until_it_moves(300)
    for name, taken in (("start", starts), ("stop", stops)):
        how = f"median {statistics.median(taken):.2f} ms, worst {max(taken):.1f} ms of {len(taken)}"
        figure = percentile(taken, 99)
        yield Row(f"figure: a {name} said until the body obeys, 99th", figure, "ms", 25.0, how)
    line = wire.written(Line(1, 9, ("piece", "1", "2700", "Frost%20Bells")))
    ours = seconds(lambda: [wire.read(line[:-1]) for _ in range(1000)]) * 1000
    theirs = seconds(lambda: [binascii.crc_hqx(line, 0xFFFF) for _ in range(1000)]) * 1000
    yield Row("figure: a line of 45 bytes read and checked", ours, "us", 100.0,
              f"the CRC alone in C (binascii): {theirs:.2f} us")  # fmt: skip
    noise = bytes(range(256)) * 400
    splitter = wire.Splitter()
    taken = seconds(lambda: [wire.read(raw) for raw in splitter.feed(noise)])
    yield Row("figure: 100 kB of noise passed over", taken * 1000, "ms", 100.0,
              "at 115200 baud it takes 9 s to arrive")  # fmt: skip
