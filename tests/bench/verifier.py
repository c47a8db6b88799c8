"""What it costs to judge a plan, one stall's or a whole hall's, to say why not, and to draw it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from io import StringIO
from pathlib import Path
from time import monotonic

from rich.console import Console

from showtime.faces.timeline import timeline
from showtime.fair import Day, Performance, Plan
from showtime.fair.hall import HallDay, HallNoise, HallPlan, Place, Together
from showtime.planning import broken, headroom, plan, why_not
from showtime.planning.hall import broken_in_hall, handouts, noise_course, why_in_hall
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
    yield from _hall_rows(day, 60)
    yield from _hall_rows(day, 600)


def _hall_rows(day: Day, stalls: int) -> Iterator[Row]:
    joint = _in_turn(day, stalls)
    hall, given = joint.hall, joint.performances
    count = sum(map(len, given))
    beside = f"{count} performances; 3 m apart, direct neighbours in turn, noise at each"
    yield Row(f"{stalls} stalls judged", seconds(lambda: broken_in_hall(hall, given), 1), "s", 10)
    yield Row(
        f"{stalls} stalls handed their day", seconds(lambda: handouts(joint), 1), "s", 5, beside
    )
    hour = timedelta(hours=1)
    course = seconds(lambda: noise_course(hall, given, hall.names[0], hour))
    yield Row(f"noise at one of {stalls} stalls", course, "s")
    at = given[1][3].starts

    def asked() -> object:
        return why_in_hall(hall, joint, hall.names[0], at, limit=10.0, monotonic=monotonic)

    told = "a start at which its neighbour plays: reasons, moves and the nearest time"
    yield Row(f"why not then, of {stalls} stalls", seconds(asked, 1), "s", 10, told)


def _in_turn(day: Day, stalls: int) -> HallPlan:
    """Stalls on a square of 3 m like the demo's, every second one on the half hour."""
    wide = 25
    places = tuple(Place(3.0 * (n % wide), 3.0 * (n // wide)) for n in range(stalls))
    days = tuple(
        replace(
            day,
            signboard=replace(day.signboard, stall=f"Stall {n}"),
            quiet=(),
            wishes=replace(day.wishes, fixed=()),
        )
        for n in range(stalls)
    )
    together = (Together(1, 3.0), Together(stalls // 2 + 1))
    noise = (HallNoise(80, timedelta(hours=1)),)
    hall = HallDay("", day.signboard.timezone, day.date, day.hours, days, places, together, noise)
    half = timedelta(minutes=30)
    given = tuple(
        tuple(
            Performance(
                day.hours.start + (2 * turn + (n % wide + n // wide) % 2) * half, day.pieces[0]
            )
            for turn in range(day.hours.length // (2 * half))
        )
        for n in range(stalls)
    )
    return HallPlan(hall, given, (18,) * stalls)
