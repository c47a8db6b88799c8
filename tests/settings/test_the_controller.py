"""The stall's file names the figure's controller; what is wrong with it is told by its place."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from showtime.fair import Controller
from showtime.settings import load_stall, shipped
from showtime.settings.compose import parse_yaml
from showtime.settings.controllerfile import ControllerGroup, controller
from showtime.settings.model import GroupOf
from showtime.settings.problem import Problems


def test_all_of_it_is_read(desk: Any, small_stall: str) -> None:
    block = "controller: {serial: /dev/ttyACM0, rate: 57600, margin: 20 s, silence: 2 s}\n"
    found = desk.stall(small_stall + block).controller
    wanted = Controller("/dev/ttyACM0", 57600, timedelta(seconds=20), timedelta(seconds=2))
    assert found == wanted


def test_only_the_line_must_be_named(desk: Any, small_stall: str) -> None:
    found = desk.stall(small_stall + "controller: {serial: /dev/ttyUSB0}\n").controller
    assert (found.rate, found.margin.total_seconds(), found.silence.total_seconds()) == (
        115200, 10, 3,
    )  # fmt: skip


def test_without_it_nothing_is_wired_up(desk: Any, small_stall: str) -> None:
    assert desk.stall(small_stall).controller is None
    assert load_stall(shipped("config/tin-orchard.yaml")).controller is None


def test_the_block_that_the_demo_shows_is_right_once_its_signs_are_gone(top: Any) -> None:
    text = (top / "config" / "tin-orchard.yaml").read_text("utf-8")
    shown = text[text.index("# controller:") :].splitlines()
    block = [line.removeprefix("# ") for line in shown if line.startswith("# ")]
    kept = [line for line in block if line.startswith(("controller:", "  "))][:5]
    problems = Problems()
    tree = parse_yaml("\n".join(kept), "demo")
    group = GroupOf(ControllerGroup).read(tree.get("controller"), problems)
    assert not problems
    assert controller(group) == Controller("/dev/ttyACM0")


@pytest.mark.parametrize(
    ("block", "said"),
    [
        ("controller: {}", "'serial' is missing"),
        ("controller: {serial: /dev/ttyACM0, rate: fast}", "'fast' is no whole number"),
        ("controller: {serial: /dev/ttyACM0, rate: 300}", "out of range"),
        ("controller: {serial: /dev/ttyACM0, margin: 10}", "10"),
        ("controller: {serial: /dev/ttyACM0, silence: 0 s}", "1 s"),
        ("controller: {serail: /dev/ttyACM0}", "did you mean 'serial'?"),
        ("controller: /dev/ttyACM0", "{serial: /dev/ttyACM0"),
    ],
)
def test_what_is_wrong_is_told(desk: Any, small_stall: str, block: str, said: str) -> None:
    line = len(small_stall.splitlines()) + 1
    told = str(desk.complaints(small_stall + block + "\n"))
    assert f":{line}:" in told
    assert said in told
