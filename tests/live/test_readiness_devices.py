"""What is plugged in before the fair opens: a button pressed or not, a controller that may fail."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

import pytest

from showtime.fair import Controller, Day
from showtime.fair.wiring import Button, Dial, Input, Knobs, Port, Presence
from showtime.figure import PretendCable, PretendController, wired_figure
from showtime.live.readiness import Hand, Line, State, WiredUp
from showtime.triggers import Looking
from showtime.triggers.standins import HandLine

SILENCE = 2.0


def micros() -> int:
    return time.monotonic_ns() // 1000


def before_long(holds: Callable[[], bool], seconds: float = 5.0) -> bool:
    until = time.monotonic() + seconds
    while not holds() and time.monotonic() < until:
        time.sleep(0.01)
    return holds()


@pytest.fixture
def line(tmp_path: Path) -> Iterator[HandLine]:
    made = HandLine(str(tmp_path / "line"))
    yield made
    if Path(made.path).is_symlink():
        made.close()


def hand_at(path: str, *kinds: type[Input]) -> Hand:
    wired = [kind(Port(path)) for kind in kinds]
    return Hand("the box", wired, lambda watch: Looking(wired, watch, micros, (600, 1020)))


def test_a_button_is_there_and_then_pressed(line: HandLine) -> None:
    hand = hand_at(line.path, Button)
    assert [each.state for each in hand.judge()] == [State.OK]
    assert hand.asks_for == "press the box" and not hand.tried
    line.press()
    line.release()
    assert before_long(lambda: hand.tried)
    assert hand.asked(skipped=False) == Line("input the box", State.OK, "heard")
    hand.close()


def test_a_button_from_which_nothing_comes_is_to_be_mended_unless_it_was_skipped(
    line: HandLine,
) -> None:
    hand = hand_at(line.path, Button)
    hand.judge()
    assert hand.asked(skipped=False).state is State.MEND
    assert "no press" in hand.asked(skipped=False).says
    assert hand.asked(skipped=True).state is State.LOOK
    hand.close()


def test_a_line_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    hand = hand_at(str(tmp_path / "nowhere"), Button)
    (found,) = hand.judge()
    hand.close()
    assert found.state is State.MEND and "not there" in found.says and found.mend


def test_all_that_comes_by_one_line_is_asked_for_together(line: HandLine) -> None:
    hand = hand_at(line.path, Button, Dial, Presence)
    hand.judge()
    assert hand.asks_for == "press and turn and step before the box"
    line.send("press", "here")
    assert not before_long(lambda: hand.tried, 0.3)
    assert hand.asked(skipped=False).says == "there, but no turn of the dial came"
    line.send("pulse 0 1000", "pulse 1 60000")
    assert before_long(lambda: hand.tried)
    hand.close()


def test_knobs_need_no_hand(line: HandLine) -> None:
    silent = hand_at(line.path, Knobs)
    assert silent.judge()[0].state is State.MEND
    silent.close()
    hand = hand_at(line.path, Knobs)
    sending = threading.Timer(0.2, lambda: line.send("knobs 512 87"))
    sending.start()
    assert [each.state for each in hand.judge()] == [State.OK]
    assert hand.asks_for == ""
    hand.close()


@dataclass
class Body:
    """A controller on a real pty, attended to until the test is over."""

    cable: PretendCable
    controller: PretendController
    over: threading.Event = field(default_factory=threading.Event)
    deaf_once_bonded: bool = False

    def live(self) -> None:
        while not self.over.wait(0.01):
            self.controller.step()
            if self.deaf_once_bonded and self.controller.due() < float("inf"):
                self.controller.go_deaf()

    @property
    def deeds(self) -> list[str]:
        return [deed.what for deed in self.controller.deeds]


@pytest.fixture
def body(tmp_path: Path) -> Iterator[Body]:
    cable = PretendCable(tmp_path / "figure")
    made = Body(cable, PretendController(cable, time.monotonic))
    thread = threading.Thread(target=made.live)
    thread.start()
    yield made
    made.over.set()
    thread.join()
    cable.close()


def wired(body: Body, day: Day, needs: float | None = 0.7) -> WiredUp:
    controller = Controller(str(body.cable.path), silence=timedelta(seconds=SILENCE))
    return WiredUp(
        day,
        controller.serial,
        SILENCE,
        lambda: wired_figure(controller, time.monotonic),
        lambda: needs,
        time.monotonic,
    )


def found(up: WiredUp) -> dict[str, tuple[str, str]]:
    lines = up.judge()
    up.close()
    return {each.name: (each.state.value, each.says) for each in lines}


def test_a_controller_that_is_well_answers_and_nothing_moves(body: Body, saturday: Day) -> None:
    body.controller.celsius, body.controller.battery = 24.0, 90.0
    up = wired(body, saturday)
    assert found(up) == {
        "controller": ("ok", "it answers, and acknowledges a stop"),
        "warmth": ("ok", "its motors are at 24 °C"),
        "charge": ("ok", "its battery is at 90 %, the day needs 70 %"),
    }
    assert up.well and body.deeds == []


def test_motors_at_their_limit_and_a_battery_too_low_for_the_day(body: Body, saturday: Day) -> None:
    body.controller.celsius, body.controller.battery = 45.0, 69.0
    up = wired(body, saturday)
    lines = found(up)
    assert not up.well
    assert lines["warmth"] == ("mend", "its motors are at 45 °C, the limit is 45 °C")
    assert lines["charge"] == ("mend", "its battery is at 69 %, the day needs 70 %")


def test_a_jammed_figure_is_told_in_the_keepers_words(body: Body, saturday: Day) -> None:
    body.controller.jam()
    (line,) = found(wired(body, saturday)).items()
    assert line[0] == "controller" and line[1][0] == "mend" and "jammed" in line[1][1]


def test_a_controller_that_does_not_hear_a_stop_is_to_be_mended(body: Body, saturday: Day) -> None:
    body.deaf_once_bonded = True
    up = wired(body, saturday)
    lines = found(up)
    assert lines.keys() == {"controller"} and not up.well
    assert (
        lines["controller"][0] == "mend" and "does not acknowledge a stop" in lines["controller"][1]
    )


def test_a_line_without_a_plug_in_it_is_told_at_once(body: Body, saturday: Day) -> None:
    body.cable.unplug()
    begun = time.monotonic()
    assert found(wired(body, saturday))["controller"][0] == "mend"
    assert time.monotonic() - begun < 1


def test_a_short_test_begins_the_piece_and_ends_it(body: Body, saturday: Day) -> None:
    up = wired(body, saturday)
    assert [(each.name, each.state) for each in up.judge()] == [
        ("controller", State.OK),
        ("measured", State.OK),  # it has no sensors, and is well all the same
    ]
    line = up.move(saturday.pieces[0], saturday.hours.start)
    up.close()
    assert line.state is State.OK, line
    assert body.deeds == ["played", "stopped"]
    played, stopped = body.controller.deeds
    assert 2.5 < stopped.at - played.at < 6


def test_what_jams_in_the_short_test_is_told(body: Body, saturday: Day) -> None:
    up = wired(body, saturday)
    up.judge()
    threading.Timer(1.0, body.controller.jam).start()
    line = up.move(saturday.pieces[0], saturday.hours.start)
    up.close()
    assert (line.name, line.state) == ("movement", State.MEND) and "jammed" in line.says
    assert not body.controller.moving


def test_without_a_controller_nothing_can_be_moved(body: Body, saturday: Day) -> None:
    up = wired(body, saturday)
    assert up.move(saturday.pieces[0], saturday.hours.start).state is State.LOOK
    assert body.deeds == []


class Frozen:
    """A controller whose program hangs: its line is there, and nothing comes of it."""

    ready = False

    def __init__(self) -> None:
        self.calls: list[str] = []

    def __getattr__(self, name: str) -> Callable[..., None]:
        return lambda *given: self.calls.append(name)


def test_a_controller_that_hangs_is_given_up_and_let_go(saturday: Day) -> None:
    frozen, ticks = Frozen(), iter(range(1000))
    up = WiredUp(saturday, "COM7", SILENCE, lambda: frozen, lambda: 0.7, lambda: next(ticks))
    (line,) = up.judge()
    up.close()
    assert line.state is State.MEND and line.says == "nothing is heard of it"
    assert next(ticks) < 20
    assert frozen.calls == ["listen", "start", "close"]
