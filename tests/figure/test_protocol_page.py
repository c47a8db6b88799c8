"""PROTOCOL.md is true: its talk, its lines and its words are those of the program."""

from __future__ import annotations

import re

import pytest

from showtime.figure import Pace, PretendController, wire
from showtime.figure.exchange import COMPUTER, CONTROLLER
from showtime.figure.wire import Line


@pytest.fixture(scope="module")
def page(top):
    return (top / "showtime" / "figure" / "PROTOCOL.md").read_text("utf-8")


def section(page: str, title: str) -> str:
    return page.split(f"\n## {title}\n")[1].split("\n## ")[0]


class Wire:
    def __init__(self) -> None:
        self.coming = b""
        self.sent: list[str] = []

    def read(self) -> bytes:
        data, self.coming = self.coming, b""
        return data

    def write(self, data: bytes) -> None:
        self.sent += data.decode("ascii").splitlines()

    def wait(self, seconds: float) -> None: ...
    def close(self) -> None: ...


def test_the_controller_that_ships_holds_the_talk_on_the_page(page):
    talk = re.findall(r"^ +(\d+\.\d+) ([<>]) (.+)$", section(page, "A talk to try it with"), re.M)
    assert len(talk) > 25
    now, line = 0.0, Wire()
    controller = PretendController(line, lambda: now, Pace())
    awaited: list[str] = []
    for moment, who, said in talk:
        if float(moment) > now:
            assert line.sent == awaited, f"before {moment}"
            now = float(moment)
            controller.step()
        if who == ">":
            line.coming += said.encode() + b"\n"
            controller.step()
        else:
            awaited.append(said)
    assert line.sent == awaited
    deeds = [(deed.what, deed.about[0]) for deed in controller.deeds]
    assert deeds == [("played", "1"), ("ended", "1"), ("played", "2"), ("stopped", "2")]


def test_the_lines_that_are_right_are_read_and_written_as_they_stand(page):
    lines = section(page, "Lines that are right").split("```")[1].split("\n")[1:-1]
    assert len(lines) > 5
    for text in lines:
        read = wire.read(text.encode())
        assert read is not None, text
        assert wire.written(read) == text.encode() + b"\n"


def test_the_lines_that_are_none_are_not_read(page):
    lines = re.findall(r"^\| `(.+?)` \|", section(page, "Lines that are none"), re.M)
    assert len(lines) > 6
    for text in lines:
        assert wire.read(text.encode()) is None, text


@pytest.mark.parametrize(
    ("title", "side"),
    [("What the computer says", COMPUTER), ("What the controller says", CONTROLLER)],
)
def test_every_word_is_on_the_page(page, title, side):
    written = set(re.findall(r"^\| `(\w+)", section(page, title), re.M))
    assert written == {side.ack, side.beat, *side.says}


def test_no_word_is_said_by_both_sides():
    both = {COMPUTER.ack, COMPUTER.beat, *COMPUTER.says}
    assert both.isdisjoint({CONTROLLER.ack, CONTROLLER.beat, *CONTROLLER.says})


def test_numbers_and_lengths_on_the_page_are_those_of_the_program(page):
    pace = Pace()
    assert f"No line is longer than {wire.LONGEST} bytes" in page
    assert f"after {wire.LAST_NUMBER} comes 1" in page
    assert f"the *silence* ({pace.silence:g} s" in " ".join(page.split())
    assert f"again after {pace.again:g} s" in page
    assert Pace.of(3.0) == pace


def test_the_page_says_what_it_does_not_replace(page):
    words = " ".join(page.split())
    for said in ("emergency stop", "fused supply", "guards", "local codes", "watchdog"):
        assert said in words


@pytest.mark.parametrize(
    "text", ["Frost Bells", "", "-", "100 %", "Sjöhästen", "鐘", "a\tb", "%41"]
)
def test_any_name_goes_over_the_wire_and_comes_back(text):
    word = wire.as_word(text)
    assert wire.read(wire.written(Line(1, 1, ("piece", word)))[:-1]) == Line(1, 1, ("piece", word))
    assert wire.as_text(word) == text.replace("\t", "?")


def test_a_name_that_is_too_long_loses_whole_letters():
    word = wire.as_word("ö" * 500)
    wire.written(Line(65535, 9999, ("piece", "9999", "999999", word)))
    assert set(wire.as_text(word)) == {"ö"}
