"""A day file in the keeper's hand is followed; and the house says whether the hall is reached."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import pytest
from click.testing import CliRunner

from showtime.cli import app
from showtime.fair import QuietInterval
from showtime.fair.hall import Handout
from showtime.live import Desk, SimulatedClock, handout_document, open_house
from showtime.live.clock.simulated import SimulatedMachine
from showtime.live.hall import PretendedHall
from showtime.live.house import REACHED
from showtime.live.opening import Edges
from showtime.live.readiness import HallLine, State


@pytest.fixture
def handout(saturday, saturday_plan):
    """The demo plan without its first start, during which a neighbour sounds."""
    first, *others = saturday_plan.performances
    quiet = QuietInterval("a performance at The Lantern Cart", first.span)
    return Handout(saturday.signboard.stall, saturday.date, tuple(others), (quiet,))


@pytest.fixture
def day_file(handout, saturday, tmp_path):
    file = tmp_path / "tin-orchard-saturday.json"
    file.write_text(json.dumps(handout_document(handout, saturday)), "utf-8")
    return file


class Keeper:
    """A face whose keeper does one thing after the other, and then ends the day."""

    every = 1.0

    def __init__(self, *deeds):
        self.deeds, self.notes, self.states, self.house = list(deeds), [], [], None

    def show(self, state, now, note, line):
        self.notes.append(note)
        self.states.append(state)
        self.deeds.pop(0)() if self.deeds else self.house.end()

    def close(self):
        pass


@pytest.fixture
def lived(tin_orchard, saturday, tmp_path_factory, monkeypatch):
    """Lives a house with this hall around it, from shortly before it opens."""
    home = tmp_path_factory.mktemp("h")
    for each in ("DATA", "CACHE", "STATE"):
        monkeypatch.setenv(f"XDG_{each}_HOME", str(home / each))
    machine = SimulatedMachine(saturday.hours.start - timedelta(minutes=5))

    def live(keeper, hall=None, handout=None):
        desk = Desk(tin_orchard, home, SimulatedClock(machine.system()))
        around = {"hall": lambda stall, clock: hall} if hall else {}
        edges = Edges(machine=machine, alarms=lambda clock: SimulatedClock(clock.now()), **around)
        journal = home / "day.journal"
        house = open_house(desk, "", "", journal, silent=True, seed=1, edges=edges, handout=handout)
        keeper.house = house
        house.live(keeper)
        return keeper

    return live


def starts(state):
    return tuple(slot.starts for slot in state.upcoming)


def test_what_was_handed_out_is_the_days_plan_with_others_times_in_it(lived, handout):
    state = lived(Keeper(), handout=handout).states[0]
    assert starts(state) == tuple(p.starts for p in handout.performances)
    assert [hush.why for hush in state.hall.others] == ["a performance at The Lantern Cart"]


def test_started_again_with_the_same_file_nothing_changes(lived, handout):
    before = lived(Keeper(), handout=handout).states[-1]
    after = lived(Keeper(), handout=handout).states[0]
    assert starts(after) == starts(before)
    assert after.hall == before.hall


def test_a_hall_that_is_reached_has_the_last_word(lived, handout):
    hall = PretendedHall()
    hall.hand_plan(replace(handout, performances=handout.performances[2:]))
    state = lived(Keeper(), hall=hall, handout=handout).states[0]
    assert starts(state) == tuple(p.starts for p in handout.performances[2:])


def test_the_house_says_once_when_the_hall_is_lost_and_when_it_is_reached(lived):
    hall = PretendedHall()
    hall.go_silent("no line to the fair's broker")
    keeper = Keeper(hall.come_back, lambda: keeper.house.note("late 5"), lambda: None)
    lived(keeper, hall=hall)
    assert keeper.notes[:3] == ["no line to the fair's broker", REACHED, "late 5"]


def test_the_status_tells_that_the_hall_is_not_reached(lived):
    hall, told = PretendedHall(), []
    keeper = Keeper(
        lambda: told.append(keeper.house.tell(["status"])),
        lambda: hall.go_silent("no line to the fair's broker"),
        lambda: told.append(keeper.house.tell(["status"])),
    )
    lived(keeper, hall=hall)
    assert "broker" not in told[0]
    assert told[1].endswith("; no line to the fair's broker")


def test_the_hall_hears_of_the_day_at_each_look(lived):
    hall, seen = PretendedHall(), []
    keeper = Keeper(*[lambda: seen.append(hall.seen)] * 3)
    lived(keeper, hall=hall)
    assert all(each is not None for each in seen)


# As the keeper types it


@pytest.fixture
def env(tmp_path):
    return {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "PYTHONPATH": os.pathsep.join(sys.path),
        "LANG": "C.UTF-8",
    }


def test_run_follows_the_day_file(day_file, env):
    words = ["run", "--as-if", "2027-02-13T10:02", "--silent", "--plan", str(day_file)]
    running = subprocess.Popen(
        [sys.executable, "-m", "showtime", *words],
        env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        second = json.loads(day_file.read_text("utf-8"))["performances"][0]["starts"][11:16]
        line = next(line for line in running.stdout if re.search(r"\d\d:\d\d", line[9:]))
        assert second in line
        running.send_signal(signal.SIGTERM)
        assert running.wait(20) == 0
    finally:
        running.kill()
        running.wait(10)
        running.stdout.close()


def test_a_day_file_that_breaks_a_rule_is_told_and_not_run(handout, saturday, day_file):
    quiet = QuietInterval("The Lantern Cart plays", handout.performances[0].span)
    broken = replace(handout, quiet=(*handout.quiet, quiet))
    day_file.write_text(json.dumps(handout_document(broken, saturday)), "utf-8")
    told = CliRunner().invoke(app, ["run", "--as-if", "2027-02-13T10:02", "--plan", str(day_file)])
    assert told.exit_code == 1
    assert "quiet: " in told.output and "The Lantern Cart plays" in told.output


def test_a_day_file_of_another_day_or_stall_is_wrong_input(handout, saturday, day_file, env):
    def run(*words):
        command = [sys.executable, "-m", "showtime", "run", "--plan", str(day_file), *words]
        return subprocess.run(command, env=env, capture_output=True, text=True, timeout=60)

    other = run("--day", "2027-02-14")
    assert other.returncode == 2
    assert "handed out for 2027-02-13" in other.stderr
    document = handout_document(replace(handout, stall="The Lantern Cart"), saturday)
    day_file.write_text(json.dumps(document), "utf-8")
    found = run("--as-if", "2027-02-13T10:02")
    assert found.returncode == 2
    assert re.match(rf"{day_file}:1:\d+: this is handed to The Lantern Cart", found.stderr)


def test_a_unit_follows_the_day_file_too_and_needs_no_network_for_it(day_file):
    unit = CliRunner().invoke(app, ["run", "--unit", "--plan", str(day_file), "--alone"]).output
    assert f"--plan {day_file} --alone" in unit
    assert "PrivateNetwork=yes" in unit


# Before opening


class Ticking:
    """A clock in whose every look some time has passed."""

    def __init__(self):
        self.seconds = 0.0

    def __call__(self):
        self.seconds += 1.0
        return self.seconds


@pytest.mark.parametrize("trouble", ["", "no line to the fair's broker at fair.lan:8883"])
def test_before_opening_the_line_to_the_hall_has_a_line(trouble):
    hall = PretendedHall()
    if trouble:
        hall.go_silent(trouble)
    (line,) = HallLine("fair.lan", lambda: hall, Ticking()).judge()
    assert line.state is (State.LOOK if trouble else State.OK)
    assert line.says == (trouble or "the fair's network is reached at fair.lan")
    assert bool(line.mend) is bool(trouble)


def test_a_line_that_takes_a_moment_is_waited_for():
    class Slow(PretendedHall):
        looks = 0

        @property
        def trouble(self):
            Slow.looks += 1
            return "not yet" if Slow.looks < 3 else ""

        @trouble.setter
        def trouble(self, value):
            pass

    (line,) = HallLine("fair.lan", Slow, lambda: 0.0).judge()
    assert line.state is State.OK
