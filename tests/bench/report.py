"""What it costs to tell of a full day: nine hours and more than a thousand questions."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

from showtime.fair import Plan
from showtime.live import Journal
from showtime.live import events as happened
from showtime.planning import plan
from showtime.settings import load_stall, shipped
from showtime.wording import Kind
from tests.bench.row import Row, seconds

ASKS = 1200


def full_day(path: Path) -> Plan:
    """The demo's Saturday as planned, with a question every twenty seconds."""
    stall = load_stall(shipped("config/tin-orchard.yaml"))
    made = plan(stall.days[0], limit=20, monotonic=time.monotonic)
    assert isinstance(made, Plan)
    day = made.day
    slots = tuple(happened.Slot(p.starts, p.piece.name) for p in made.performances)
    events: list[happened.Event] = [
        happened.DayBegan(at=day.hours.start, stall=day.signboard.stall, date=day.date, slots=slots)
    ]
    for slot, each in zip(slots, made.performances, strict=True):
        events += [
            happened.Started(at=slot.starts, slot=slot),
            happened.Finished(at=each.ends, slot=slot),
        ]
    for number in range(ASKS):
        asked = day.hours.start + number * day.hours.length / ASKS
        told = next((slot.starts for slot in slots if slot.starts > asked), None)
        events.append(
            happened.Answered(
                at=asked,
                trigger="key",
                kind=Kind.NEXT if told else Kind.NONE_LEFT,
                text=f"Sentence {number} of the day, with some more words to it.",
                language="en",
                template=number % 40,
                told=told,
                spoken="aloud",
            )
        )
    events.sort(key=lambda event: event.at)
    events.append(happened.DayEnded(at=day.hours.end + timedelta(minutes=5)))
    journal = Journal(path)
    journal.append(*events)
    journal.close()
    return made


def rows() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "day.journal"
        full_day(path)
        command = [sys.executable, "-m", "showtime", "report", "--journal", str(path)]
        for name, words, target in (
            ("report --out a folder: page and PDF", ["--out", f"{folder}/both"], 3.0),
            (
                "report --out, beside another day",
                ["--out", f"{folder}/two", "--with", str(path)],
                3,
            ),
            ("report on the terminal", [], None),
        ):

            def run(words: list[str] = words) -> None:
                subprocess.run([*command, *words], check=True, capture_output=True)

            yield Row(name, seconds(run, 3), "s", target, f"{ASKS} questions")
        for name in ("report.html", "report.pdf"):
            size = (Path(folder) / "both" / name).stat().st_size / 1000
            yield Row(f"its {name}", size, "kB")
