"""What any device owes the day: the stand-in, a clicker, a serial line, a pin, a real keyboard."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from showtime.fair.wiring import Clicker, Port, Wire
from showtime.triggers.attached import Attached
from showtime.triggers.clicker import clicker
from showtime.triggers.keyboards import LinuxKeyboards
from showtime.triggers.pins import pins
from showtime.triggers.serialport import serial_port
from showtime.triggers.signals import Contact, Device, Edge, Gone, Signal
from showtime.triggers.standins import HandDevice, HandKeyboards, HandLine, HandPin, HandRemote

AGAIN = 0.03


def micros() -> int:
    return time.monotonic_ns() // 1000


def nothing() -> None:
    """Where a verb of the hand is not needed."""


@dataclass
class Rig:
    """A device, and the hand that is on it."""

    device: Device
    press: Callable[[], None]
    release: Callable[[], None]
    unplug: Callable[[], None]
    plug_in: Callable[[], None]
    put_away: Callable[[], None] = nothing
    signals: list[Signal] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    news: threading.Condition = field(default_factory=threading.Condition)

    def hear(self, signal: Signal) -> None:
        with self.news:
            self.signals.append(signal)
            self.news.notify_all()

    @property
    def edges(self) -> list[bool]:
        return [signal.closed for signal in self.signals if isinstance(signal, Edge)]

    def hears(self, edges: list[bool]) -> bool:
        with self.news:
            return self.news.wait_for(lambda: self.edges == edges, timeout=5)


Make = Callable[[Path, bool], Rig]


def unmade() -> Rig:
    return Rig(None, nothing, nothing, nothing, nothing)


def stand_in(folder: Path, there: bool) -> Rig:
    rig = unmade()
    hand = HandDevice("Presenter", rig.hear, rig.told.append, micros, there)
    rig.device = hand
    rig.press, rig.release, rig.unplug, rig.plug_in = (
        hand.press, hand.release, hand.unplug, hand.plug_in,
    )  # fmt: skip
    return rig


def remote(folder: Path, there: bool) -> Rig:
    rig = unmade()
    hand = HandRemote("Pocket Presenter", "Pocket Presenter Consumer", plugged_in=there)
    opening = clicker(Clicker("Presenter"), HandKeyboards([hand]), micros)
    rig.device = Attached("Presenter", opening, rig.hear, rig.told.append, micros, AGAIN)
    rig.press, rig.release, rig.unplug, rig.plug_in = (
        hand.press, hand.release, hand.unplug, hand.plug_in,
    )  # fmt: skip
    return rig


def line(folder: Path, there: bool) -> Rig:
    rig = unmade()
    path = str(folder / "line")
    hand = HandLine(path)
    if not there:
        hand.unplug()
    opening = serial_port(Port(path), micros)
    rig.device = Attached(path, opening, rig.hear, rig.told.append, micros, AGAIN)
    rig.press, rig.release, rig.unplug, rig.plug_in = (
        hand.press, hand.release, hand.unplug, hand.plug_in,
    )  # fmt: skip
    return rig


def pin(folder: Path, there: bool) -> Rig:
    """A pin cannot be pulled; not there is one that something else in the program uses."""
    mock = pytest.importorskip("gpiozero.pins.mock", reason="gpiozero is not installed")
    gpiozero = pytest.importorskip("gpiozero")
    rig = unmade()
    factory = mock.MockFactory()
    taken = [] if there else [gpiozero.InputDevice(17, pin_factory=factory)]
    hand = HandPin(factory, 17)
    opening = pins({Contact.BUTTON: Wire("17")}, micros, factory)
    rig.device = Attached("pin 17", opening, rig.hear, rig.told.append, micros, AGAIN)
    rig.press, rig.release = hand.press, hand.release
    rig.unplug = lambda: pytest.skip("a pin cannot be pulled out")
    rig.plug_in = lambda: [each.close() for each in taken] and None
    return rig


def kernel(folder: Path, there: bool) -> Rig:
    """A keyboard that the kernel itself presents."""
    if not os.access("/dev/uinput", os.W_OK):
        pytest.skip(
            "this kernel has no /dev/uinput that we may write to, so no keyboard can be made"
        )
    evdev = pytest.importorskip("evdev", reason="evdev is not installed: pip install '.[inputs]'")
    rig = unmade()
    name = f"Test Presenter {os.getpid()}"
    made: list[object] = []

    def plug_in() -> None:
        made.append(evdev.UInput({evdev.ecodes.EV_KEY: [evdev.ecodes.KEY_VOLUMEUP]}, name=name))

    def stroke(value: int) -> None:
        made[-1].write(evdev.ecodes.EV_KEY, evdev.ecodes.KEY_VOLUMEUP, value)
        made[-1].syn()

    def unplug() -> None:
        made.pop().close()

    if there:
        plug_in()
        time.sleep(0.5)  # udev gives it its rights
    opening = clicker(Clicker(name), LinuxKeyboards(), micros)
    rig.device = Attached(name, opening, rig.hear, rig.told.append, micros, AGAIN)
    rig.press, rig.release = lambda: stroke(1), lambda: stroke(0)
    rig.unplug, rig.plug_in = unplug, plug_in
    rig.put_away = lambda: [each.close() for each in made] and None
    return rig


KINDS = [stand_in, remote, line, pin, kernel]


@pytest.fixture(params=KINDS, ids=[kind.__name__ for kind in KINDS])
def make(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[bool], Rig]]:
    made: list[Rig] = []

    def make_one(there: bool) -> Rig:
        made.append(request.param(tmp_path, there))
        return made[-1]

    yield make_one
    for rig in made:
        rig.device.close()
        rig.put_away()


def before_long(holds: Callable[[], bool], seconds: float = 5.0) -> bool:
    until = time.monotonic() + seconds
    while not holds() and time.monotonic() < until:
        time.sleep(0.005)
    return holds()


def test_pressed_and_released_is_told_in_order_and_with_times_that_grow(make) -> None:
    rig = make(True)
    rig.device.start()
    for _ in range(5):
        rig.press()
        rig.release()
    assert rig.hears([True, False] * 5)
    times = [signal.at for signal in rig.signals]
    assert times == sorted(times)
    assert abs(micros() - times[-1]) < 2_000_000
    assert (rig.device.trouble, rig.told) == ("", [])


def test_nothing_is_told_after_it_was_closed(make) -> None:
    rig = make(True)
    rig.device.start()
    rig.press()
    assert rig.hears([True])
    rig.device.close()
    rig.release()
    time.sleep(0.05)
    assert rig.edges == [True]
    rig.device.close()


def test_closing_one_that_was_never_started_is_no_trouble(make) -> None:
    rig = make(True)
    rig.device.close()
    assert rig.signals == []


def test_missing_at_the_start_is_one_line_and_it_is_taken_up_when_it_comes(make) -> None:
    rig = make(False)
    begun = time.monotonic()
    rig.device.start()
    assert time.monotonic() - begun < 1
    assert len(rig.told) == 1
    assert rig.device.trouble == rig.told[0]
    assert "\n" not in rig.device.trouble
    assert rig.device.name in rig.device.trouble
    time.sleep(5 * AGAIN)
    assert len(rig.told) == 1
    rig.plug_in()
    assert before_long(lambda: rig.device.trouble == "")
    assert before_long(lambda: len(rig.told) == 2)
    rig.press()
    rig.release()
    assert rig.hears([True, False])


def test_pulled_out_in_mid_press_nothing_of_it_holds_any_more(make) -> None:
    rig = make(True)
    rig.device.start()
    rig.press()
    assert rig.hears([True])
    rig.unplug()
    assert before_long(lambda: bool(rig.signals) and isinstance(rig.signals[-1], Gone))
    assert before_long(lambda: len(rig.told) == 1)
    assert rig.device.trouble == rig.told[0]
    time.sleep(5 * AGAIN)
    assert len(rig.told) == 1


def test_each_time_it_goes_and_comes_is_told_once_and_it_is_heard_again(make) -> None:
    rig = make(True)
    rig.device.start()
    for times in (1, 2, 3):
        rig.unplug()
        assert before_long(lambda: rig.device.trouble != "")
        rig.plug_in()
        assert before_long(lambda: rig.device.trouble == "")
        assert before_long(lambda times=times: len(rig.told) == 2 * times)
        rig.press()
        rig.release()
        assert rig.hears([True, False] * times)
