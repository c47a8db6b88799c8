"""The figure as a running program has it: a thread, a real terminal line, a machine's own clock."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Controller, Day, Piece, Signboard, Span, Stall
from showtime.figure import Pace, PretendCable, PretendController, open_figure, tried
from showtime.live.events import Slot
from showtime.live.ports import IdleFigure
from showtime.live.reports import Began, Ended, Failed, Well

OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
BELLS = Piece("Bells", timedelta(seconds=0.5))
SILENCE = timedelta(seconds=1)


class OwnClock:
    def now(self):
        return datetime.now(UTC)

    def monotonic(self):
        return time.monotonic()

    def wait(self, stop, seconds):
        return stop.wait(seconds)


@dataclass
class Bench:
    """A controller with a life of its own at the end of a cable."""

    cable: PretendCable
    controller: PretendController
    reports: list = field(default_factory=list)
    over: threading.Event = field(default_factory=threading.Event)

    @property
    def settings(self) -> Controller:
        return Controller(str(self.cable.path), silence=SILENCE)

    def live(self) -> None:
        while not self.over.wait(0.002):
            self.controller.step()

    def until(self, holds, seconds: float = 8.0) -> bool:
        late = time.monotonic() + seconds
        while not holds() and time.monotonic() < late:
            time.sleep(0.005)
        return holds()

    def heard(self, kind) -> bool:
        return any(isinstance(report, kind) for report in self.reports)


@pytest.fixture
def bench(tmp_path: Path):
    cable = PretendCable(tmp_path / "tty")
    pace = Pace.of(SILENCE.total_seconds())
    made = Bench(cable, PretendController(cable, time.monotonic, pace))
    thread = threading.Thread(target=made.live, daemon=True)
    thread.start()
    yield made
    made.over.set()
    thread.join()
    cable.unplug()


def day() -> Day:
    board = Signboard("Fair", "Stall", "Figure", ("en",), ZoneInfo("UTC"))
    return Day(board, date(2027, 2, 13), Span(OPENS, OPENS + timedelta(hours=1)), (BELLS,))


@pytest.fixture
def figure(bench):
    stall = Stall(day().signboard, (day(),), controller=bench.settings)
    made = open_figure(stall, OwnClock())
    made.listen(bench.reports.append)
    made.follow(day(), [Slot(OPENS, "Bells")], OPENS)
    assert bench.until(lambda: bench.heard(Well) or bench.controller.known)
    yield made
    made.close()


def test_a_piece_is_played_and_both_its_ends_are_told(bench, figure):
    figure.play(BELLS)
    assert bench.until(lambda: bench.heard(Ended))
    assert bench.heard(Began)
    assert [deed.what for deed in bench.controller.deeds] == ["played", "ended"]


def test_the_cable_comes_out_and_goes_in_again(bench, figure):
    bench.cable.unplug()
    assert bench.until(lambda: bench.heard(Failed))
    bench.reports.clear()
    bench.cable.plug_in()
    assert bench.until(lambda: bench.heard(Well))
    figure.play(BELLS)
    assert bench.until(lambda: bench.heard(Ended))


def test_a_listener_with_a_fault_of_its_own_leaves_the_figure_attended(bench, figure):
    faults = []
    before = threading.excepthook
    threading.excepthook = faults.append
    try:

        def stumbles(report):
            raise ZeroDivisionError

        figure.listen(stumbles)
        bench.controller.jam()
        assert bench.until(lambda: bool(faults))
        figure.listen(bench.reports.append)
        bench.controller.mend()
        assert bench.until(lambda: bench.heard(Well))
    finally:
        threading.excepthook = before


def test_who_listens_later_hears_what_is_wrong_already(bench, figure):
    bench.controller.jam()
    assert bench.until(lambda: bench.heard(Failed))
    later = []
    figure.listen(later.append)
    assert bench.until(lambda: bool(later))
    assert "jammed" in later[0].why


def test_closing_stops_the_figure_and_leaves_no_thread(bench, figure):
    figure.play(Piece("Bells", timedelta(minutes=5)))
    assert bench.until(lambda: bench.controller.moving)
    figure.close()
    assert bench.until(lambda: not bench.controller.moving, 0.5)
    assert "figure" not in {thread.name for thread in threading.enumerate()}


def test_no_play_blocks_however_deaf_the_controller(bench, figure):
    bench.controller.freeze()
    begun = time.monotonic()
    for _ in range(200):
        figure.play(BELLS)
        figure.stop()
    assert time.monotonic() - begun < 1.0


def test_without_a_controller_in_the_settings_nothing_is_opened():
    assert isinstance(open_figure(Stall(day().signboard, (day(),)), OwnClock()), IdleFigure)


def test_it_can_be_tried_before_opening(bench):
    bench.controller.celsius = 24.5
    found = tried(bench.settings, OwnClock(), threading.Event())
    assert (found.good, found.why) == (True, "")
    assert found.readings is not None and found.readings.celsius == 24.5
    bench.controller.jam()
    found = tried(bench.settings, OwnClock(), threading.Event())
    assert not found.good
    assert "jammed" in found.why


def test_tried_without_a_line_it_says_what_is_missing(bench):
    bench.cable.unplug()
    found = tried(bench.settings, OwnClock(), threading.Event(), seconds=0.3)
    assert not found.good
    assert "no such line; see that the cable is in" in found.why


def test_another_program_on_the_line_is_named(bench, figure):
    found = tried(bench.settings, OwnClock(), threading.Event(), seconds=0.3)
    assert not found.good
    assert "another program has it" in found.why
