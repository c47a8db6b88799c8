"""What a keeper may write about the things to press, turn and walk past."""

from __future__ import annotations

from datetime import timedelta

import pytest

from showtime.fair.wiring import (
    VERBS,
    Active,
    Button,
    Chip,
    Clicker,
    Converter,
    Deeds,
    Dial,
    Knobs,
    Port,
    Presence,
    Pull,
    Sets,
    Wire,
)
from showtime.live.keeper.orders import ORDERS
from showtime.settings import SettingsError, load_stall


@pytest.fixture
def read(tmp_path, top):
    """The demo stall with these inputs, read."""
    text = (top / "config" / "tin-orchard.yaml").read_text("utf-8")
    text = text.replace("organiser: ", "# organiser: ").replace("  - {why: organ", "#")

    def with_inputs(*items):
        file = tmp_path / "stall.yaml"
        file.write_text(f"{text}\ninputs:\n" + "".join(f"  - {item}\n" for item in items))
        return load_stall(file).inputs

    return with_inputs


def problems(read, *items):
    with pytest.raises(SettingsError) as error:
        read(*items)
    return [problem.message for problem in error.value.problems]


def test_the_demo_runs_without_anything_wired_up(tin_orchard):
    assert tin_orchard.inputs == ()


def test_the_lines_that_the_demo_shows_can_be_used_as_they_are(read, top):
    """They are comments there, each to be uncommented."""
    text = (top / "config" / "tin-orchard.yaml").read_text("utf-8")
    shown = text.split("# inputs:\n")[1].splitlines()
    items = [line.removeprefix("#   - ") for line in shown if line.startswith("#   - ")]
    assert [type(each) for each in read(*items)] == [
        Button, Button, Button, Dial, Knobs, Presence,
    ]  # fmt: skip


def test_a_clicker_by_a_part_of_its_name(read):
    (button,) = read(
        "{clicker: Presenter, keys: [VolumeUp], press: ask, long: hold, double: late 5}"
    )
    assert button == Button(
        Clicker("Presenter", ("volumeup",)), Deeds(("ask",), ("hold",), ("late", "5"))
    )


def test_a_button_asks_unless_told_otherwise(read):
    (button,) = read("{pin: 17}")
    assert button == Button(Wire("17"))
    assert button.deeds.press == ("ask",)


def test_a_pin_with_its_pull_level_and_debounce(read):
    (button,) = read("{pin: BOARD11, pull: none, active: high, debounce: 25 ms}")
    assert button.of == Wire("BOARD11", Pull.NONE, Active.HIGH, timedelta(milliseconds=25))


def test_one_button_that_sets_the_clock(read):
    (button,) = read("{serial: /dev/ttyUSB0, press: step, long: accept, sets: clock}")
    assert button.of == Port("/dev/ttyUSB0")
    assert (button.deeds.sets, button.deeds.steps) == (Sets.CLOCK, True)


def test_a_dial_with_its_off_normal_contact(read):
    (dial,) = read("dial: {pin: 23, off_normal: 24, sets: clock}")
    bare = timedelta(0)
    assert dial == Dial(Wire("23", debounce=bare), Wire("24", debounce=bare), Sets.CLOCK)


def test_knobs_wired_either_way_round(read):
    (knobs,) = read("knobs: {serial: /dev/x, ends: {hour: [12, 1010], minute: [1015, 9]}}")
    assert knobs == Knobs(Port("/dev/x"), (12, 1010), (1015, 9))


def test_knobs_on_a_converter_read_as_far_as_it_does(read):
    (knobs,) = read("knobs: {converter: MCP3208, channels: [2, 3], select: 1}")
    assert knobs == Knobs(Converter(Chip.MCP3208, (2, 3), 1), (0, 4095), (0, 4095))


def test_a_sensor_calls_every_few_minutes_at_most(read):
    (there,) = read("presence: {pin: 22, every: 3 min}")
    assert there == Presence(Wire("22", Pull.DOWN, Active.HIGH), timedelta(minutes=3))


@pytest.mark.parametrize(
    ("item", "told"),
    [
        ("{clicker: Presenter, pull: up}", "'pull' means nothing beside 'clicker'"),
        ("{pin: 17, keys: [a]}", "'keys' means nothing beside 'pin'"),
        ("{pin: 17, clicker: x}", "only one of"),
        ("{clicker: a}", "too many keyboards"),
        ("{press: ask}", "is missing"),
        ("{pin: x}", "is no pin"),
        ("{pin: 17, press: asc}", "nothing that can be done"),
        ("{pin: 17, press: hold, long: ask}", "done at once"),
        ("{pin: 17, debounce: 5}", "has no unit"),
        ("{pin: 17, debounce: 5 min}", "is not a short time"),
        ("{serial: /dev/x, rate: fast}", "no whole number"),
        ("dial: {pin: 23, rate: 9600}", "'rate' means nothing beside 'pin'"),
        ("{dial: {pin: 23}, press: ask}", "'press' means nothing beside 'dial'"),
        ("dial: {off_normal: 24}", "is missing"),
        ("knobs: {converter: MCP3009}", "did you mean"),
        ("knobs: {serial: /dev/x, channels: [0, 1]}", "'channels' means nothing beside 'serial'"),
        ("knobs: {converter: MCP3008, channels: [1, 1]}", "two different channels"),
        ("knobs: {converter: MCP3002, channels: [1, 2]}", "has channels 0 to 1"),
        ("knobs: {serial: /dev/x, ends: {hour: [1, 2], minute: [0, 900]}}", "100 apart"),
        ("presence: {pin: 22, every: 5 s}", "is less than 1 min"),
    ],
)
def test_what_is_wrong_is_told_with_what_would_be_right(read, item, told):
    found = problems(read, item)
    assert any(told in each for each in found), found


def test_a_pin_that_is_wired_twice_is_told(read):
    found = problems(read, "{pin: 17}", "dial: {pin: 23, off_normal: GPIO17}")
    assert found == ["pin 17 is wired twice; keep one"]


def test_a_line_cannot_have_two_rates(read):
    found = problems(
        read, "{serial: /dev/x, rate: 9600}", "knobs: {serial: /dev/x}", "{serial: /dev/y}"
    )
    assert len(found) == 1
    assert "9600" in found[0]


def test_the_controllers_line_is_its_own(read, tmp_path):
    found = problems(read, "{serial: /dev/x}\ncontroller: {serial: /dev/x}")
    assert len(found) == 1
    assert "controller" in found[0]


def test_every_order_of_a_running_day_can_be_a_deed():
    assert set(ORDERS) | {"ask", "clock", "end"} <= set(VERBS)
    assert set(VERBS) - set(ORDERS) == {"ask", "clock", "end", "step"}
