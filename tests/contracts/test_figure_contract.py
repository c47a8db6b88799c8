"""What any figure owes the running day: the one that is not wired up, and one at a real line."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Controller, Day, Piece, Signboard, Span
from showtime.figure import Pace, PretendCable, PretendController, wired_figure
from showtime.live.events import Slot
from showtime.live.ports import Figure, IdleFigure
from showtime.live.reports import Report

OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
BELLS, DANCE = Piece("Bells", timedelta(minutes=5)), Piece("The Pear Dance", timedelta(minutes=8))
DAY = Day(
    Signboard("Fair", "Stall", "Figure", ("en",), ZoneInfo("Europe/London")),
    date(2027, 2, 13),
    Span(OPENS, OPENS + timedelta(hours=7)),
    (BELLS, DANCE),
)
COMING = [
    Slot(OPENS + timedelta(minutes=30), "Bells"),
    Slot(OPENS + timedelta(hours=1), DANCE.name),
]


@dataclass
class Rig:
    """A figure, what it told, and whether its body moves; None: it has none."""

    figure: Figure
    moves: Callable[[], bool] | None = None
    told: list[Report] = field(default_factory=list)


def idle_rig(folder: Path) -> Iterator[Rig]:
    yield Rig(IdleFigure())


def wired_rig(folder: Path) -> Iterator[Rig]:
    cable = PretendCable(folder / "tty")
    controller = PretendController(cable, time.monotonic, Pace.of(1.0))
    over = threading.Event()

    def live() -> None:
        while not over.wait(0.002):
            controller.step()

    thread = threading.Thread(target=live, daemon=True)
    thread.start()
    silence = timedelta(seconds=1)
    figure = wired_figure(Controller(str(cable.path), silence=silence), time.monotonic)
    figure.start()
    assert before_long(lambda: figure.ready)
    yield Rig(figure, lambda: controller.moving)
    over.set()
    thread.join()
    cable.unplug()


def before_long(holds: Callable[[], bool], seconds: float = 5.0) -> bool:
    until = time.monotonic() + seconds
    while not holds() and time.monotonic() < until:
        time.sleep(0.005)
    return holds()


@pytest.fixture(params=[idle_rig, wired_rig], ids=["idle", "wired"])
def rig(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Rig]:
    for made in request.param(tmp_path):
        made.figure.listen(made.told.append)
        made.figure.follow(DAY, COMING, OPENS)
        yield made
        made.figure.close()


def in_motion(rig: Rig, moves: bool) -> bool:
    return rig.moves is None or before_long(lambda: rig.moves is not None and rig.moves() is moves)


def test_it_moves_when_it_plays_and_no_more_once_it_is_stopped(rig: Rig) -> None:
    rig.figure.play(DANCE)
    assert in_motion(rig, True)
    rig.figure.stop()
    assert in_motion(rig, False)


def test_nothing_keeps_its_caller_waiting(rig: Rig) -> None:
    begun = time.monotonic()
    for _ in range(50):
        rig.figure.play(BELLS)
        rig.figure.stop()
        rig.figure.follow(DAY, COMING, OPENS)
    assert time.monotonic() - begun < 1.0


def test_stopping_a_figure_that_rests_is_no_trouble(rig: Rig) -> None:
    rig.figure.stop()
    rig.figure.stop()
    assert in_motion(rig, False)


def test_the_last_word_counts_when_many_are_said_at_once(rig: Rig) -> None:
    for _ in range(10):
        rig.figure.play(BELLS)
        rig.figure.stop()
    time.sleep(0.3)
    assert in_motion(rig, False)
    rig.figure.play(BELLS)
    assert in_motion(rig, True)


def test_a_day_with_nothing_to_come_can_be_followed(rig: Rig) -> None:
    rig.figure.follow(DAY, [], OPENS)
    rig.figure.play(BELLS)
    assert in_motion(rig, True)


def test_another_listener_takes_the_place_of_the_first(rig: Rig) -> None:
    later: list[Report] = []
    rig.figure.listen(later.append)
    before = len(rig.told)
    rig.figure.play(BELLS)
    if rig.figure.patience is not None:
        assert before_long(lambda: bool(later))
    assert len(rig.told) == before


def test_it_tells_of_ends_exactly_if_it_says_how_long_to_wait_for_them(rig: Rig) -> None:
    rig.figure.play(BELLS)
    if rig.figure.patience is None:
        time.sleep(0.1)
        assert rig.told == []
    else:
        assert rig.figure.patience > timedelta(0)
        assert before_long(lambda: bool(rig.told))


def test_closing_ends_the_motion_and_may_be_done_twice(rig: Rig) -> None:
    rig.figure.play(BELLS)
    assert in_motion(rig, True)
    rig.figure.close()
    rig.figure.close()
    assert in_motion(rig, False)
