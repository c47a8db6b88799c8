"""Whoever wires something up sees what each device sends, and what it comes to."""

from __future__ import annotations

import time

import pytest

from showtime.fair.wiring import Button, Clicker, Deeds, Port, Presence
from showtime.triggers import Board, Looking
from showtime.triggers.keyboards import Found
from showtime.triggers.plugged import Plugged
from showtime.triggers.standins import HandKeyboards, HandLine, HandRemote


def micros():
    return time.monotonic_ns() // 1000


@pytest.fixture
def seen():
    return []


@pytest.fixture
def remote():
    return HandRemote("Pocket Presenter")


@pytest.fixture
def look(seen, remote):
    taken = []

    def start(*wired):
        board = Board(HandKeyboards([remote]), again=0.03)
        taken.append(Looking(wired, seen.append, micros, (600, 1020), board))
        taken[-1].start()
        return taken[-1]

    yield start
    for looking in taken:
        looking.close()


@pytest.fixture
def line(tmp_path):
    made = HandLine(str(tmp_path / "line"))
    yield made
    made.close()


def test_what_was_sent_and_what_it_comes_to_are_both_seen(look, seen, remote, before_long):
    look(Button(Clicker("Presenter", ("volumeup",)), Deeds(("late", "5"))))
    remote.press("volumedown")
    remote.press()
    assert before_long(lambda: [each.meant for each in seen if each.meant] == ["does: late 5"])
    assert [each.sent for each in seen if each.sent] == ["down volumedown", "down volumeup"]
    assert remote.typed_elsewhere == []


def test_people_are_seen_and_would_be_called(look, seen, line, before_long):
    look(Presence(Port(line.path)))
    line.send("here", "gone")
    assert before_long(lambda: len(seen) == 3)
    assert [each.sent or each.meant for each in seen] == [
        "somebody there",
        "calls people, if the figure may",
        "nobody there",
    ]


def test_what_is_found_is_listened_to_and_types_elsewhere_all_the_same(
    look, seen, remote, line, before_long
):
    looking = look()
    there = Plugged((Found("/dev/input/0-0", "Pocket Presenter"),), ((line.path, "n/a"),))
    for _ in range(3):
        looking.find(there)
    remote.press()
    line.send("knobs 5 900")
    assert before_long(lambda: {each.kind for each in seen} == {"button", "knobs"})
    assert len(seen) == 2
    assert remote.typed_elsewhere == ["volumeup"]
    (knobs,) = [each for each in seen if each.kind == "knobs"]
    assert (knobs.device, knobs.turned, knobs.meant) == (line.path, (5, 900), "")


def test_what_the_settings_name_is_not_taken_up_twice(look, seen, remote, line, before_long):
    looking = look(Button(Clicker("presenter")), Button(Port(line.path)))
    looking.find(Plugged((Found("/dev/input/0-0", "Pocket Presenter"),), ((line.path, ""),)))
    assert looking.troubles == ()
    remote.press()
    assert before_long(lambda: [each.sent for each in seen if each.sent] == ["down volumeup"])
