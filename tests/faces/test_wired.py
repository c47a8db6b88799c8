"""What the keeper reads while wiring up: calm lines, and settings that can be pasted."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from showtime.faces import wired
from showtime.settings import parse_yaml


@dataclass
class Seen:
    device: str = "/dev/ttyUSB0"
    at: int = 0
    sent: str = ""
    meant: str = ""
    trouble: str = ""
    kind: str = ""
    turned: tuple[int, int] | None = None


@pytest.fixture
def written():
    return []


@pytest.fixture
def watching(written):
    return wired.Watching(written.append, 0, ["pin 17"])


def knobs(watching, readings, apart=25_000):
    for number, (hour, minute) in enumerate(readings):
        watching.show(
            Seen(at=number * apart, sent=f"{hour} {minute}", kind="knobs", turned=(hour, minute))
        )


def test_knobs_that_lie_still_are_written_once(watching, written):
    knobs(watching, [(512 + number % 3, 1023 - number % 2) for number in range(400)])
    assert len([line for line in written if "To paste" not in line]) == 1


def test_knobs_that_are_turned_are_written_four_times_a_second_at_most(watching, written):
    knobs(watching, [(10 * number, 5) for number in range(100)])
    assert 5 <= len([line for line in written if "To paste" not in line]) <= 11


def test_settings_to_paste_are_shown_once_for_what_is_not_in_the_settings(watching, written):
    for _ in range(3):
        watching.show(Seen(sent="down", kind="button"))
        watching.show(Seen(device="pin 17", sent="down", kind="button"))
    pasted = [line for line in written if "To paste" in line]
    assert pasted == ["To paste under inputs:   - {serial: /dev/ttyUSB0, press: ask, long: hold}"]


def test_no_line_of_a_usual_device_is_wider_than_a_terminal(watching, written):
    name = "An Exceedingly Long-Winded Wireless Presenter Consumer Control"
    watching.show(Seen(device=name, at=9_999_000_000, sent="down volumeup", kind=""))
    watching.show(Seen(meant="understood 14:30; it counts if nothing more comes"))
    assert all(len(line) <= 92 for line in written)
    assert len(written[0]) <= 80


@pytest.mark.parametrize("kind", ["button", "dial", "knobs", "presence"])
@pytest.mark.parametrize(
    "name", ["Presenter", "AB Shutter3", "It's: {mine}", "3 Keys", "- #", "no", "a: b", "yes, or"]
)
def test_whatever_a_device_is_called_its_settings_can_be_read(name, kind):
    text = f"inputs:\n  - {wired.paste(name, kind)}\n"
    found = parse_yaml(text, "pasted.yaml")
    (item,) = found.pairs[0].value.items
    of = item if kind == "button" else item.pairs[0].value
    assert of.get("clicker").text == name


def test_nothing_there_is_said_plainly():
    class Bare:
        keyboards = ()
        ports = ()
        no_clickers = "evdev is not installed here"
        no_pins = "no pins here"

    lines = list(wired.lines(wired.document(Bare(), [], [])))
    assert lines == [
        "No clicker, serial line or pin is here to be found.",
        "pins      no pins here",
        "The settings name no inputs.",
    ]
