"""`showtime ready` at a keeper's terminal: 80 columns, no colours, a button and a controller."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import pexpect
import pytest
from click.testing import CliRunner

from showtime.cli import app, trying
from showtime.figure import PretendCable, PretendController
from showtime.live import Desk
from showtime.live.places import socket_path
from showtime.live.readiness import Hand
from showtime.live.telling import Ear
from showtime.triggers.standins import HandLine

KEYS = {"name", "state", "says", "mend"}


@pytest.fixture(scope="module")
def kept_plans(tmp_path_factory):
    return tmp_path_factory.mktemp("plans")


@pytest.fixture
def home(monkeypatch, tmp_path, kept_plans):
    """A computer on which nothing was run so far, with a sound card without a loudspeaker."""
    with tempfile.TemporaryDirectory() as short:  # unix(7): a socket's path is 107 bytes at most
        for name in ("DATA", "STATE"):
            monkeypatch.setenv(f"XDG_{name}_HOME", short)
        monkeypatch.setenv("XDG_CACHE_HOME", str(kept_plans))
        monkeypatch.setenv("SHOWTIME_SOUND_CARD", "null")
        monkeypatch.setenv("NO_COLOR", "1")
        monkeypatch.setenv("TERM", "dumb")
        yield Path(short)


@pytest.fixture
def settings(tmp_path, top, home):
    """Writes the demo stall's settings with more below them, and says where."""

    def write(more=""):
        text = (top / "config" / "tin-orchard.yaml").read_text("utf-8")
        text = text.replace("organiser: ", "# organiser: ").replace("  - {why: organ", "#")
        hurried = re.sub("  rate: .*", "  rate: 400 words/min", text)
        assert hurried != text
        file = tmp_path / "stall.yaml"
        file.write_text(f"{hurried}\n{more}\n")
        return file

    return write


@pytest.fixture
def line(home):
    made = HandLine(str(home / "line"))
    yield made
    made.close()


@pytest.fixture
def body(tmp_path):
    """A controller on a real pty, which is well."""
    cable = PretendCable(tmp_path / "figure")
    controller = PretendController(cable, time.monotonic)
    controller.celsius, controller.battery = 24.0, 95.0
    over = threading.Event()

    def live():
        while not over.wait(0.01):
            controller.step()

    thread = threading.Thread(target=live)
    thread.start()
    yield controller
    over.set()
    thread.join()
    cable.close()


def wired_up(line, body):
    return (
        f"inputs:\n  - {{serial: {line.path}, press: ask}}\n"
        f"controller: {{serial: {body.port.path}, silence: 2 s}}"
    )


def ready(*words):
    result = CliRunner().invoke(app, ["ready", *map(str, words)])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def terminal(*words):
    return pexpect.spawn(
        sys.executable,
        ["-m", "showtime", "ready", *map(str, words)],
        dimensions=(24, 80),
        timeout=20,
        encoding="utf-8",
    )


def test_all_is_ready_and_said_so_in_one_document(settings, line, body):
    file = settings(wired_up(line, body))
    shown = ready(file, "--json", "--day", "2027-02-13")
    found = json.loads(shown.stdout)
    assert (shown.exit_code, found["ready"]) == (0, True), found
    assert all(set(each) == KEYS for each in found["checks"])
    names = [each["name"] for each in found["checks"]]
    assert {"plan", "clock", "voice", "disk", "phrases", "power", "controller"} <= set(names)
    assert f"input {line.path}" in names
    assert (found["day"], found["stall"]) == ("2027-02-13", "The Tin Orchard")
    assert body.deeds == []


def test_each_thing_that_is_missing_is_named_at_the_end(settings, tmp_path):
    file = settings(
        "inputs:\n  - {clicker: No Such Thing}\n  - {pin: 17}\n"
        f"controller: {{serial: {tmp_path}/nowhere}}"
    )
    shown = ready(file, "--no-asking", "--day", "2027-02-13")
    assert shown.exit_code == 1
    assert "Mend first: input No Such Thing, input pin 17, controller." in " ".join(
        shown.output.split()
    )
    assert shown.output.splitlines()[-1].startswith("First try the emergency stop")
    assert "Traceback" not in shown.output
    assert max(map(len, shown.output.splitlines())) <= 80


def test_settings_that_are_broken_are_wrong_input(settings):
    file = settings("inputs: 7")
    shown = subprocess.run(
        [sys.executable, "-m", "showtime", "ready", str(file), "--json"],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert shown.returncode == 2
    found = json.loads(shown.stdout)
    assert found["ready"] is False
    assert [each["name"] for each in found["checks"]] == ["settings"]
    assert shown.stderr.startswith(f"{file}:")


def test_a_calendar_that_cannot_be_read_is_named_with_its_place(settings):
    file = settings()
    text = file.read_text().replace("quiet:\n", "quiet:\n  - {why: recitals, calendar: gone.ics}\n")
    file.write_text(text)
    shown = subprocess.run(
        [sys.executable, "-m", "showtime", "ready", str(file)],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert shown.returncode == 2
    assert "gone.ics" in shown.stderr and "Traceback" not in shown.stderr


def test_the_keeper_hears_agrees_presses_and_lets_it_move(settings, line, body):
    screen = terminal(settings(wired_up(line, body)), "--day", "2027-02-13")
    screen.expect("Did you hear the figure speak")
    assert body.deeds == []
    screen.sendline("y")
    screen.expect("ok    voice: heard by you")
    screen.expect(r"Is it \d\d:\d\d\?")
    screen.sendline("y")
    screen.expect("and by\\s+you")
    screen.expect("Now press")
    line.press()
    line.release()
    screen.expect("ok    input .*: heard")
    screen.expect("Type yes; Enter for no: ")
    assert body.deeds == []
    screen.sendline("yes")
    screen.expect("ok    movement: Frost Bells began, and stopped")
    screen.expect(r"Ready \(\d+ s\)")
    screen.expect(pexpect.EOF)
    screen.close()
    assert screen.exitstatus == 0
    assert [deed.what for deed in body.deeds] == ["played", "stopped"]


def test_a_voice_that_nobody_hears_is_not_ready_and_y_is_no_leave_to_move(settings, line, body):
    screen = terminal(settings(wired_up(line, body)), "--day", "2027-02-13")
    screen.expect("Did you hear the figure speak")
    screen.sendline("what")
    screen.expect("y for yes, n for no")
    screen.sendline("n")
    screen.expect("MEND  voice: not heard")
    screen.expect("Is it")
    screen.sendline("")
    screen.expect("Now press")
    screen.sendline("")
    screen.expect("look  input .*skipped")
    screen.expect("Type yes; Enter for no: ")
    screen.sendline("y")
    screen.expect("NOT READY. Mend first: voice.")
    screen.expect(pexpect.EOF)
    screen.close()
    assert screen.exitstatus == 1
    assert body.deeds == []


def test_ctrl_c_in_the_short_test_stops_the_figure_at_once(settings, body):
    screen = terminal(settings(f"controller: {{serial: {body.port.path}, silence: 2 s}}"))
    for question in ("Did you hear", "Is it", "Type yes; Enter for no: "):
        screen.expect(question)
        screen.sendline("yes" if question.startswith("Type") else "")
    until = time.monotonic() + 5
    while not body.moving and time.monotonic() < until:
        time.sleep(0.01)
    assert body.moving
    screen.sendintr()
    screen.expect(pexpect.EOF)
    screen.close()
    assert screen.exitstatus == 1
    played, stopped = body.deeds
    assert stopped.what == "stopped" and stopped.at - played.at < 2


def test_yes_beforehand_is_no_leave_to_move_either(settings, line, body):
    shown = ready(settings(wired_up(line, body)), "--yes", "--day", "2027-02-13")
    assert shown.exit_code == 0
    assert "voice: heard by you" in shown.output and "skipped: press" in shown.output
    assert body.deeds == []


def test_a_device_that_hangs_hangs_nothing_else(settings, monkeypatch):
    never = threading.Event()

    class Hanging:
        troubles = ()

        def start(self):
            never.wait()

        def close(self):
            never.wait()

    hanging = [Hand("the wedged one", (), lambda watch: Hanging())]
    monkeypatch.setattr(trying, "hands_of", lambda desk: hanging)
    begun = time.monotonic()
    found = json.loads(ready(settings(), "--json", "--day", "2027-02-13").stdout)
    assert time.monotonic() - begun < 20
    wrong = [each for each in found["checks"] if each["state"] != "ok"]
    assert [each["name"] for each in wrong] == ["input the wedged one"]
    assert "no answer within 4 s" in wrong[0]["says"]
    never.set()


def test_while_a_day_is_running_its_devices_are_left_alone(settings, line, body):
    file = settings(wired_up(line, body))
    ear = Ear(socket_path(Desk.of(file).stall), lambda words: "10:30:00 waiting")
    shown = ready(file, "--json", "--day", "2027-02-13")
    ear.close()
    found = json.loads(shown.stdout)
    assert shown.exit_code == 1
    names = [each["name"] for each in found["checks"] if each["state"] == "mend"]
    assert names == ["running"]
    assert not {"voice", "controller", f"input {line.path}"} & {
        each["name"] for each in found["checks"]
    }
    assert body.known == {} and body.deeds == []
