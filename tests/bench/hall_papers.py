"""What it costs to make the organiser's papers of a joint plan, for halls of two sizes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from showtime.faces.hall import joint, papers
from showtime.fair import Day, Performance, Piece, Signboard, Span
from showtime.fair.hall import HallDay, HallNoise, HallPlan, Place, Together
from tests.bench.row import Row, seconds

ZONE = ZoneInfo("Europe/London")
MINUTE = timedelta(minutes=1)
NOW = datetime(2027, 2, 12, tzinfo=UTC)
FOLDER = Path("nowhere")
OPENS = datetime(2027, 2, 13, 10, 0, tzinfo=UTC)


def planned(stalls: int) -> HallPlan:
    """Rows of ten stalls, 3 m apart; every third of a row sounds at once."""
    piece = Piece("Small Lights", 4 * MINUTE, level_dba=68)
    hours = Span(OPENS, OPENS + timedelta(hours=7))
    days = tuple(
        Day(
            Signboard("The Fair", f"Stall {number + 1}", "Wick", ("en",), ZONE),
            date(2027, 2, 13),
            hours,
            (piece,),
        )
        for number in range(stalls)
    )
    places = tuple(Place(3.0 * (number % 10), 3.0 * (number // 10)) for number in range(stalls))
    hall = HallDay(
        *("The Fair", ZONE, date(2027, 2, 13), hours, days, places),
        together=(Together(1, 3.5),),
        noise=(HallNoise(64.0, 60 * MINUTE),),
    )
    given = tuple(
        tuple(
            Performance(OPENS + (5 * ((number + number // 10) % 3) + 30 * turn) * MINUTE, piece)
            for turn in range(12)
        )
        for number in range(stalls)
    )
    return HallPlan(hall, given, (13,) * stalls)


def made(plan: HallPlan) -> dict[Path, bytes]:
    return papers(joint(plan), FOLDER, NOW)


def rows() -> Iterator[Row]:
    for stalls, target in ((10, 1.0), (60, 5.0)):
        found = made(plan := planned(stalls))
        figure = seconds(partial(made, plan), 3)
        yield Row(f"all papers of {stalls} stalls", figure, "s", target, f"{len(found)} files")
        for name in ("hall.html", "timetable.pdf"):
            yield Row(f"their {name}", len(found[FOLDER / name]) / 1000, "kB")
