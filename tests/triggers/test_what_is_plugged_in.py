"""Looking for devices, and the lines that a keeper reads when one cannot be had."""

from __future__ import annotations

import sys
import time
from types import ModuleType, SimpleNamespace

import pytest

from showtime.fair.wiring import Chip, Clicker, Converter, Port, Wire
from showtime.triggers import plugged_in
from showtime.triggers.attached import NotThereError
from showtime.triggers.clicker import clicker
from showtime.triggers.converter import converter
from showtime.triggers.keyboards import Found, LinuxKeyboards, Stroke
from showtime.triggers.pins import pins
from showtime.triggers.serialport import serial_port
from showtime.triggers.signals import Contact, Turned

mock = pytest.importorskip("gpiozero.pins.mock", reason="gpiozero is not installed")


def micros():
    return time.monotonic_ns() // 1000


@pytest.fixture
def machine(tmp_path):
    """The root of a machine with these event devices: name, and bitmap of keys."""

    def make(*devices):
        for number, (name, keys) in enumerate(devices):
            device = tmp_path / f"sys/class/input/event{number}/device"
            (device / "capabilities").mkdir(parents=True)
            (device / "name").write_text(f"{name}\n")
            (device / "capabilities/key").write_text(f"{keys}\n")
        (tmp_path / "dev").mkdir()
        return tmp_path

    return make


def test_keyboards_are_found_by_their_keys_and_lids_and_jacks_are_not(machine):
    root = machine(
        ("Pocket Presenter", "3f000301ff 0 0 483ffff17aff32d bfd4444600000000 1"),
        ("Lid Switch", "0"),
        ("Headphone Jack", "0 0 0"),
        ("", "1"),
    )
    assert LinuxKeyboards(root).there() == [Found("/dev/input/event0", "Pocket Presenter")]
    there = plugged_in(LinuxKeyboards(root), root)
    assert [each.name for each in there.keyboards] == ["Pocket Presenter"]
    assert there.no_pins == "no pins here"
    (root / "dev/gpiochip0").touch()
    assert plugged_in(LinuxKeyboards(root), root).no_pins == ""


def test_a_machine_without_any_devices_has_none(tmp_path):
    assert LinuxKeyboards(tmp_path).there() == []


def why(opening):
    with pytest.raises(NotThereError) as error:
        opening()
    assert "\n" not in str(error.value)
    return error.value


def test_without_evdev_a_clicker_says_how_to_get_it_and_is_not_tried_again(machine, monkeypatch):
    monkeypatch.setitem(sys.modules, "evdev", None)
    root = machine(("Pocket Presenter", "1"))
    error = why(clicker(Clicker("Presenter"), LinuxKeyboards(root), micros))
    assert "pip install 'showtime[inputs]'" in str(error)
    assert error.lasting


def test_without_gpiozero_a_pin_says_how_to_get_it_and_is_not_tried_again(monkeypatch):
    monkeypatch.setitem(sys.modules, "gpiozero", None)
    error = why(pins({Contact.BUTTON: Wire("17")}, micros))
    assert "pip install 'showtime[inputs]'" in str(error)
    assert error.lasting


def test_a_pin_that_the_board_does_not_have_is_named():
    error = why(pins({Contact.BUTTON: Wire("99")}, micros, mock.MockFactory()))
    assert "pin 99" in str(error)
    assert error.lasting


def test_no_pin_is_kept_of_a_dial_of_which_one_is_in_use():
    factory = mock.MockFactory()
    taken = pins({Contact.BUTTON: Wire("24")}, micros, factory)()
    both = {Contact.PULSE: Wire("23"), Contact.OFF_NORMAL: Wire("24")}
    assert "pin 24" in str(why(pins(both, micros, factory)))
    pins({Contact.BUTTON: Wire("23")}, micros, factory)().close()
    taken.close()


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("/dev/no-such-line", "not there"),
        ("/dev/null", "no serial line"),
        ("/dev", "no serial line"),
    ],
)
def test_what_is_no_serial_line_says_so(path, told):
    error = why(serial_port(Port(path), micros))
    assert str(error).startswith(f"{path}: ")
    assert told in str(error)
    assert not error.lasting


class PretendedKeyboard:
    """As evdev's InputDevice: in press, repeat, release, and what is no key at all."""

    grabbed = False

    def __init__(self, path):
        if path.endswith("1"):
            raise PermissionError(13, "Permission denied")
        self.fd, self.events = 0, []

    def grab(self):
        type(self).grabbed = True

    def ungrab(self):
        type(self).grabbed = False

    def close(self):
        pass

    def read(self):
        if not self.events:
            raise BlockingIOError(11, "Resource temporarily unavailable")
        found, self.events = self.events, []
        return found


@pytest.fixture
def pretended(monkeypatch):
    """An evdev of which a device can be told what comes."""
    made = []

    class Device(PretendedKeyboard):
        def __init__(self, path):
            super().__init__(path)
            made.append(self)

    evdev = ModuleType("evdev")
    evdev.InputDevice = Device
    evdev.ecodes = SimpleNamespace(
        EV_KEY=1, keys={115: "KEY_VOLUMEUP", 113: ("KEY_MIN", "KEY_MUTE")}
    )
    monkeypatch.setitem(sys.modules, "evdev", evdev)
    return made


def event(kind, code, value):
    return SimpleNamespace(type=kind, code=code, value=value)


def test_a_keys_own_repeats_and_what_is_no_key_are_left_out(pretended):
    grabbed = LinuxKeyboards().grab(Found("/dev/input/event0", "Presenter"))
    (device,) = pretended
    assert type(device).grabbed
    device.events = [
        event(4, 4, 458_880), event(1, 115, 1), event(0, 0, 0), event(1, 115, 2),
        event(1, 115, 2), event(1, 115, 0), event(1, 113, 1), event(1, 700, 1),
    ]  # fmt: skip
    assert list(grabbed.read()) == [
        Stroke("volumeup", True), Stroke("volumeup", False), Stroke("min", True),
        Stroke("700", True),
    ]  # fmt: skip
    assert list(grabbed.read()) == []
    grabbed.close()
    assert not type(device).grabbed


def test_one_that_is_only_listened_to_goes_on_typing_elsewhere(pretended):
    LinuxKeyboards().grab(Found("/dev/input/event0", "Presenter"), alone=False)
    assert not type(pretended[0]).grabbed


def test_one_that_may_not_be_read_says_what_to_do(pretended):
    error = why(lambda: LinuxKeyboards().grab(Found("/dev/input/event1", "Presenter")))
    assert "usermod -aG input" in str(error)


def test_knobs_on_a_converter_are_read_one_beside_the_other(monkeypatch):
    """gpiozero's own stand-in speaks the converter's protocol on mock pins."""
    gpiozero = pytest.importorskip("gpiozero")
    factory = mock.MockFactory()
    # gpiozero drives SPI on bare pins through its default factory alone.
    monkeypatch.setattr(gpiozero.Device, "pin_factory", factory)
    answers = {0: 512, 1: 1023}

    class Chipped(mock.MockSPIDevice):
        """As the MCP3008's data sheet has it (from memory): start, single-ended, channel; ten bits
        back after a null bit."""

        def __init__(self):
            super().__init__(
                "GPIO11", "GPIO10", "GPIO9", "GPIO8", clock_polarity=False, clock_phase=False,
                bits_per_word=8, select_high=False, pin_factory=factory,
            )  # fmt: skip

        def on_start(self):
            super().on_start()
            self.rx_buf = []

        def on_bit(self):
            if len(self.rx_buf) == 12 and self.rx_buf[7]:
                channel = int("".join("01"[bit] for bit in self.rx_buf[9:12]), 2)
                value = answers[channel]
                self.tx_buf = [False, False, *(bool(value >> bit & 1) for bit in range(9, -1, -1))]

    chip = Chipped()
    link = converter(Converter(Chip.MCP3008), micros, factory)()
    (turned,) = list(link.read())
    assert isinstance(turned, Turned)
    assert (turned.hour, turned.minute) == (512, 1023)
    link.close()
    chip.close()
