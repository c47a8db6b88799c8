"""A short day in simulated time, with a figure and a voice that remember what they did."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Answers, Day, Performance, Piece, QuietInterval, Signboard, Span, budgets
from showtime.live import DayState, Journal, RunningDay, SimulatedClock, World
from showtime.live.hall import PretendedHall
from showtime.live.journal.recorder import Recorder
from showtime.live.ports import IdleFigure, WordsOnly
from showtime.wording import Bank

BOARD = Signboard("Fair", "Stall", "Figure", ("en",), ZoneInfo("Europe/London"))
BELLS = Piece("Bells", timedelta(minutes=5), reset=timedelta(minutes=2))
DANCE = Piece("Dance", timedelta(minutes=8), answers=Answers.SILENT)


def at(clock: str) -> datetime:
    """That time of the test's day; in February London keeps UTC."""
    hour, minute, *second = clock.split(":")
    return datetime(
        2027, 2, 13, int(hour), int(minute), int(second[0]) if second else 0, tzinfo=UTC
    )


@pytest.fixture(name="at")
def moment() -> Callable[[str], datetime]:
    return at


@dataclass
class Stage:
    """The running day under test, and everything around it."""

    day: Day
    clock: SimulatedClock
    journal: Journal
    speech: WordsOnly
    figure: IdleFigure
    running: RunningDay
    hall: PretendedHall
    at: Callable[[str], datetime] = field(default=at)

    @property
    def state(self) -> DayState:
        return self.running.state

    def turn(self, clock: str) -> None:
        self.clock.turn_to(at(clock))


@pytest.fixture
def short_day() -> Day:
    """Ten to one, two pieces, a talk next door, at most three performances an hour."""
    return Day(
        signboard=BOARD,
        date=date(2027, 2, 13),
        hours=Span(at("10:00"), at("13:00")),
        pieces=(BELLS, DANCE),
        quiet=(
            QuietInterval("a talk next door", Span(at("11:10"), at("11:25"))),
            QuietInterval(
                "a nap next door", Span(at("12:10"), at("12:20")), answers=Answers.SOFTLY
            ),
        ),
        gap=timedelta(minutes=6),
        budgets=(budgets.Performances(3, timedelta(hours=1)),),
        calls=(timedelta(minutes=5),),
    )


@pytest.fixture
def short_plan(short_day: Day) -> tuple[Performance, ...]:
    return tuple(
        Performance(at(start), piece)
        for start, piece in [
            ("10:30", BELLS),
            ("11:00", DANCE),
            ("11:30", BELLS),
            ("12:00", DANCE),
            ("12:30", BELLS),
        ]
    )


@pytest.fixture
def open_stage(
    short_day: Day, short_plan: tuple[Performance, ...], english: Bank
) -> Callable[..., Stage]:
    """Opens the short day at a time, on a journal of its own unless one is given."""

    def opened(
        clock: str = "09:50",
        journal: Journal | None = None,
        speech: WordsOnly | None = None,
        tomorrow: datetime | None = None,
        replanner: Callable[..., object] = lambda state, now: None,
        hall: PretendedHall | None = None,
    ) -> Stage:
        time = SimulatedClock(at(clock))
        record, figure = journal or Journal(), IdleFigure()
        voice, around = speech or WordsOnly(time), hall or PretendedHall()
        world = World(
            journal=Recorder(record),
            clock=time,
            alarms=time,
            speech=voice,
            figure=figure,
            banks={"en": english},
            random=random.Random(7),
            replanner=replanner,
            hall=around,
        )
        running = RunningDay(DayState(short_day, timedelta(seconds=60)), world)
        history = tuple(record)
        if history:
            running.resume(history)
        else:
            running.begin(short_plan, tomorrow)
        return Stage(short_day, time, record, voice, figure, running, around)

    return opened
