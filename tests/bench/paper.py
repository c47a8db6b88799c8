"""What it costs to print the day: the whole command, and the sheets in a program that runs."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from showtime.faces.calendar import calendar
from showtime.faces.paper import KINDS, Notice, labels, notice
from showtime.fair import Plan
from showtime.planning import plan
from showtime.settings import load_stall, shipped
from tests.bench.row import Row, seconds


def rows() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as folder:
        for kind in KINDS:
            command = [sys.executable, "-m", "showtime", "notice", "--kind", kind]
            command += ["--out", str(Path(folder) / f"{kind}.pdf")]

            def run(command: list[str] = command) -> None:
                subprocess.run(command, check=True, capture_output=True)

            yield Row(f"notice --kind {kind}", seconds(run), "s", 0.5, "the plan is on the shelf")
    stall = load_stall(shipped("config/tin-orchard.yaml"))
    made = plan(stall.days[0], limit=20, monotonic=time.monotonic)
    assert isinstance(made, Plan)
    for kind in KINDS:
        asked = Notice(stall, made, labels("en", "en"), link="https://tin-orchard.example/")

        def sheet(kind: str = kind, asked: Notice = asked) -> None:
            notice(kind, asked)

        pdf = notice(kind, asked)
        took = 1000 * seconds(sheet)
        yield Row(f"the {kind} sheet alone", took, "ms", None, f"{len(pdf) / 1000:.0f} kB")
    now = datetime(2027, 2, 12, 20, tzinfo=UTC)

    def ics() -> None:
        calendar(made.day, made.performances, now)

    yield Row("the calendar file", 1000 * seconds(ics), "ms", None, "all starts of the day")
