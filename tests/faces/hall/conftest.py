"""Halls to look at: the demo fair's eight stalls, and sixty of them, each with a plan by hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from showtime.faces.hall import Joint, joint
from showtime.fair import Day, Performance, Piece, QuietInterval, Signboard, Span
from showtime.fair.hall import (
    HallDay,
    HallLevel,
    HallNoise,
    HallPlan,
    HallWish,
    Place,
    Together,
)
from showtime.settings import load_fair, shipped

LONDON = ZoneInfo("Europe/London")
MINUTE = timedelta(minutes=1)
DATE = date(2027, 2, 13)


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-02-13T{clock}").replace(tzinfo=LONDON)


def one_day(number: int, name: str) -> Day:
    pieces = (
        Piece("Small Lights", 4 * MINUTE, level_dba=66 + number % 7),
        Piece("The Moth Parade", 6 * MINUTE, level_dba=70 + number % 5),
    )
    board = Signboard("Osierholt Curiosity Fair", name, f"Figure {number + 1}", ("en",), LONDON)
    quiet = (QuietInterval("the keeper's lunch", Span(at("12:30"), at("13:00"))),)
    hours = Span(at("10:00"), at("17:00"))
    return Day(board, DATE, hours, pieces, quiet if number % 4 == 0 else (), gap=10 * MINUTE)


def hall_of(names: Sequence[str], across: int, metres: float = 3.0) -> HallDay:
    """Stalls in rows, each as far from the next."""
    return HallDay(
        fair="Osierholt Curiosity Fair",
        timezone=LONDON,
        date=DATE,
        hours=Span(at("10:00"), at("17:00")),
        days=tuple(one_day(number, name) for number, name in enumerate(names)),
        places=tuple(
            Place(metres * (n % across), metres * (n // across)) for n in range(len(names))
        ),
        together=(Together(1, metres * 1.2), Together(8)),
        noise=(HallNoise(64.0, 60 * MINUTE, because="fair rule"),),
    )


def planned(hall: HallDay) -> HallPlan:
    """Whatever fits, stall by stall in turn every five minutes: valid, and not the best."""
    given: list[list[Performance]] = [[] for _ in hall.days]
    for turn in range(84):
        moment = hall.hours.start + turn * 5 * MINUTE
        for step in range(len(hall.days)):
            number = (step * 7 + turn) % len(hall.days)
            wanted = Performance(
                moment, hall.days[number].pieces[turn % len(hall.days[number].pieces)]
            )
            if fits(hall, given, number, wanted):
                given[number].append(wanted)
    levels = (
        HallLevel(HallWish.SMALLEST_SHARE, 0.5, 0.5),
        HallLevel(HallWish.WORTH, 143.0, 144.9),
        HallLevel(HallWish.WAIT, 212.4, 209.0),
    )
    alone = tuple(len(those) + number % 5 for number, those in enumerate(given))
    return HallPlan(hall, tuple(map(tuple, given)), alone, levels, seconds=1.5)


def fits(hall: HallDay, given: list[list[Performance]], number: int, wanted: Performance) -> bool:
    day, mine = hall.days[number], given[number]
    if len(mine) >= 9 or not day.hours.start <= wanted.starts < wanted.ends <= day.hours.end:
        return False
    if any(wanted.span.meets(quiet.forbidden) for quiet in day.quiet):
        return False
    if mine and wanted.starts < mine[-1].ends + 20 * MINUTE:
        return False
    sounding = [
        other
        for other, those in enumerate(given)
        if other != number and any(each.span.meets(wanted.span) for each in those)
    ]
    near = [
        other
        for other in sounding
        if hall.together[0].binds(hall.places[number], hall.places[other])
    ]
    return not near and len(sounding) < 4


@pytest.fixture(scope="session")
def hall_named() -> Callable[..., HallDay]:
    """A hall of stalls with these names, in rows of so many, so many metres apart."""
    return hall_of


@pytest.fixture(scope="session")
def by_hand() -> Callable[[HallDay], HallPlan]:
    """A plan of that hall, made without a planner."""
    return planned


@pytest.fixture(scope="session")
def demo_hall() -> HallDay:
    """The demo fair's first day."""
    fair = load_fair(shipped("config/osierholt-fair.yaml"))
    hall = fair.hall(fair.hours[0][0])
    assert hall is not None
    return hall


@pytest.fixture(scope="session")
def eight(demo_hall: HallDay) -> Joint:
    """The demo's eight stalls."""
    return joint(planned(demo_hall))


@pytest.fixture(scope="session")
def sixty() -> Joint:
    """Sixty stalls in rows of ten."""
    return joint(planned(hall_of([f"The Stall of Wonders {n + 1}" for n in range(60)], 10)))


@pytest.fixture(scope="session")
def odd() -> Joint:
    """Names that want to be something else: markup, paths, formulas, scripts, very long."""
    names = [
        '<script>window.ran = 1</script>"&',
        "../../etc/Tin Orchard",
        "The tin orchard",
        "The Tin Orchard",
        "=SUM(A1)",
        "דוכן 🎠 العرض",
        "Frostglocken" * 12,
        "CON",
    ]
    hall = hall_of(names, 3)
    piece = Piece('</title><b title="', 5 * MINUTE, level_dba=70)
    return joint(planned(replace(hall, days=tuple(replace(d, pieces=(piece,)) for d in hall.days))))
