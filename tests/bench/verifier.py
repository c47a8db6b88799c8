"""What it costs to judge a plan, to say why not, and to draw it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from io import StringIO
from pathlib import Path
from time import monotonic

from rich.console import Console

from showtime.faces.timeline import timeline
from showtime.fair import Performance, Plan
from showtime.planning import broken, headroom, plan, why_not
from showtime.settings import load_stall
from tests.bench.row import Row, seconds

DEMO = Path(__file__).parents[2] / "config" / "tin-orchard.yaml"


def rows() -> Iterator[Row]:
    day = load_stall(DEMO).days[0]
    made = plan(day, monotonic=monotonic)
    assert isinstance(made, Plan)
    grid = [
        day.hours.start + number * day.wishes.start_on
        for number in range(day.hours.length // day.wishes.start_on)
    ]
    taken = [seconds(lambda at=at: why_not(day, made, at, monotonic=monotonic), 1) for at in grid]
    beside = f"the slowest of the {len(grid)} starts of the demo day, no piece named"
    yield Row("why not then", max(taken), "s", 0.3, beside)
    yield Row("the demo plan judged", seconds(lambda: broken(day, made.performances)), "s")
    minute = timedelta(minutes=1)
    crowd = [Performance(day.hours.start + n * minute, day.pieces[0]) for n in range(420)]
    yield Row("420 performances judged", seconds(lambda: broken(day, crowd)), "s")
    yield Row("headroom of the demo plan", seconds(lambda: headroom(day, made.performances)), "s")

    def drawn() -> None:
        Console(file=StringIO(), width=100).print(timeline(made, 100, colour=False))

    yield Row("the demo plan drawn", seconds(drawn), "s")
