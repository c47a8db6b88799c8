"""A small day with every kind of limit, its plan, and the bill of it as a pipe gets it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from io import StringIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from rich.console import Console

from showtime.faces.timeline import timeline
from showtime.fair import Day, Performance, Piece, Plan, QuietInterval, Signboard, Span
from showtime.fair.budgets import Battery, Heat, Neighbour, Noise, Performances, Sounding
from showtime.fair.wishes import Fixed, Level, Wish, Wishes

LONDON = ZoneInfo("Europe/London")
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)


def moment(clock: str, day: int = 13) -> datetime:
    return datetime.fromisoformat(f"2027-02-{day}T{clock}").replace(tzinfo=LONDON)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Debian's browser, opened once in a process, which can have no more than one of them so; a
    test that needs it is skipped where there is none."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.skip("there is no chromium on this machine; apt-get install chromium")
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with sync_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def at() -> Callable[..., datetime]:
    """`at("10:30")` on the small day, `at("00:30", 14)` on the one after."""
    return moment


@pytest.fixture
def small_bells() -> Piece:
    return Piece("Frost Bells", 5 * MINUTE, level_dba=74, heat_k=40, current_a=2)


@pytest.fixture
def small_dance() -> Piece:
    return Piece("The Pear Dance", 10 * MINUTE, level_dba=78, heat_k=55, current_a=3)


@pytest.fixture
def small_day(small_bells: Piece, small_dance: Piece) -> Day:
    """Ten to three, with a lecture, a bandstand, and a cap of every kind."""
    return Day(
        signboard=Signboard(
            "Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON
        ),
        date=date(2027, 2, 13),
        hours=Span(moment("10:00"), moment("15:00")),
        pieces=(small_bells, small_dance),
        quiet=(
            QuietInterval("the moth lecture", Span(moment("12:00"), moment("12:45")), 5 * MINUTE),
            QuietInterval("bandstand", Span(moment("11:00"), moment("11:10"))),
            QuietInterval("bandstand", Span(moment("13:00"), moment("13:10"))),
        ),
        budgets=(
            Performances(2, HOUR, because="fair rule"),
            Sounding(20 * MINUTE, HOUR),
            Noise(75, Neighbour("The Lantern Cart", 3), HOUR),
            Heat(25 * MINUTE, ambient_c=21, hold_k=8, limit_c=45),
            Battery(capacity_ah=10, keep=0.2, idle_a=0.4),
            Performances(6),
        ),
        wishes=Wishes(start_on=5 * MINUTE, fixed=(Fixed(moment("14:00"), "The Pear Dance"),)),
    )


@pytest.fixture
def small_plan(small_day: Day, small_bells: Piece, small_dance: Piece) -> Plan:
    """Four performances, as many as wished for; whether the wait is the shortest is not proven."""
    return Plan(
        small_day,
        (
            Performance(moment("10:10"), small_bells),
            Performance(moment("10:30"), small_dance),
            Performance(moment("13:20"), small_bells),
            Performance(moment("14:00"), small_dance),
        ),
        (Level(Wish.PERFORMANCES, 4, proven=True), Level(Wish.WAIT, 40.5, proven=False)),
    )


@pytest.fixture
def with_performances(small_plan: Plan) -> Callable[..., Plan]:
    """The small plan with other performances."""
    return lambda *performances: replace(small_plan, performances=performances)


@pytest.fixture
def printed(small_plan: Plan) -> Callable[..., list[str]]:
    """The lines of a plan, the small one or another, as a pipe would get them."""

    def lines(plan: Plan = small_plan, width: int = 80) -> list[str]:
        page = StringIO()
        Console(file=page, width=width).print(timeline(plan, width, colour=False))
        return page.getvalue().splitlines()

    return lines


@pytest.fixture
def line_with() -> Callable[[str, Sequence[str]], str]:
    """The first line that has the words."""
    return lambda words, lines: next(line for line in lines if words in line)
