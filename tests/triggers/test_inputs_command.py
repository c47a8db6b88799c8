"""`showtime inputs` at a keeper's terminal: 80 columns, no colours, a hand at a serial line."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time

import pexpect
import pytest

from showtime.triggers.standins import HandLine

ENVIRONMENT = {**os.environ, "NO_COLOR": "1", "TERM": "dumb", "SHOWTIME_SOUND_CARD": "null"}


@pytest.fixture
def line(tmp_path):
    made = HandLine(str(tmp_path / "line"))
    yield made
    if os.path.lexists(made.path):
        made.close()


@pytest.fixture
def settings(tmp_path, top):
    """Writes the demo stall's settings with these inputs, and says where."""

    def write(*items):
        text = (top / "config" / "tin-orchard.yaml").read_text("utf-8")
        text = text.replace("organiser: ", "# organiser: ").replace("  - {why: organ", "#")
        file = tmp_path / "stall.yaml"
        file.write_text(text + "\ninputs:\n" + "".join(f"  - {item}\n" for item in items))
        return file

    return write


def inputs(*words):
    return pexpect.spawn(
        sys.executable,
        ["-m", "showtime", "inputs", *map(str, words)],
        env=ENVIRONMENT,
        dimensions=(24, 80),
        timeout=10,
        encoding="utf-8",
    )


def run(*words):
    return subprocess.run(
        [sys.executable, "-m", "showtime", "inputs", *map(str, words)],
        env=ENVIRONMENT, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


def test_without_anything_it_says_so_and_how_to_go_on():
    shown = run()
    assert (shown.returncode, shown.stderr) == (0, "")
    assert "The settings name no inputs." in shown.stdout
    assert "showtime inputs --find" in shown.stdout


def test_what_is_there_and_what_is_missing_as_json(settings):
    file = settings("{clicker: No Such Thing}", "{serial: /dev/no-such-line}")
    shown = run(file, "--json")
    found = json.loads(shown.stdout)
    assert (shown.returncode, shown.stderr) == (0, "")
    assert {"keyboards", "ports", "no_clickers", "no_pins"} <= found.keys()
    assert found["wired"] == ["No Such Thing", "/dev/no-such-line"]
    assert len(found["troubles"]) == 2


def test_what_comes_is_shown_with_what_the_figure_would_do(settings, line):
    file = settings(f"{{serial: {line.path}, press: ask, long: hold}}")
    screen = inputs(file)
    screen.expect("Ctrl-C ends it")
    line.press()
    screen.expect(r"\d+\.\d{3}  .*down")
    line.release()
    screen.expect("up")
    screen.expect("does: ask")
    line.press()
    screen.expect("does: hold")
    line.unplug()
    screen.expect("goes on without it")
    line.plug_in()
    screen.expect("there now")
    screen.sendintr()
    screen.expect(pexpect.EOF)
    screen.close()
    assert screen.exitstatus == 0
    assert "\x1b" not in screen.before


def test_digits_and_positions_are_shown_as_they_are_understood(settings, line):
    file = settings(f"dial: {{serial: {line.path}}}", f"knobs: {{serial: {line.path}}}")
    screen = inputs(file)
    screen.expect("Ctrl-C ends it")
    time.sleep(0.5)  # a dial that moves as the listening begins is not believed
    at = 4_294_500_000
    for digit in (3, 1):
        for _ in range(digit):
            line.send(f"pulse 0 {at % 2**32}")
            time.sleep(0.06)
            line.send(f"pulse 1 {(at + 62_000) % 2**32}")
            time.sleep(0.04)
            at += 100_000
        screen.expect(f"digit {digit % 10}")
        at += 800_000
    line.send("knobs 100 900")
    screen.expect(r"hour +100 +minute +900")
    screen.sendintr()
    screen.expect(pexpect.EOF)


def turn(line, hour, minute):
    for step in range(15):
        line.send(f"knobs {hour + step % 3} {minute - step % 3}")


def test_knobs_are_measured_at_both_ends_and_the_settings_can_be_pasted(settings, line):
    file = settings(f"knobs: {{serial: {line.path}}}")
    screen = inputs(file, "--knobs")
    screen.expect("press any key")
    screen.send(" ")
    screen.expect("\n")
    # Readings count only from the key on, so that is waited for.
    for _ in range(20):
        turn(line, 11, 1013)
        if screen.expect(["Turn both all the way up.*press any key", pexpect.TIMEOUT], 0.2) == 0:
            break
    screen.send(" ")
    for _ in range(20):
        turn(line, 1009, 7)
        if screen.expect(["To paste.*knobs: (.*)\r\n", pexpect.TIMEOUT], 0.2) == 0:
            break
    pasted = screen.match.group(1)
    screen.expect(pexpect.EOF)
    assert pasted.startswith(f"{{serial: {line.path}, ends: {{hour: [12, 1010], minute: [")
    checked = settings(f"knobs: {pasted}")
    found = subprocess.run(
        [sys.executable, "-m", "showtime", "check", str(checked)],
        capture_output=True, text=True, timeout=60, env=ENVIRONMENT, check=False,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr


def test_knobs_that_send_nothing_are_told(settings, line):
    file = settings(f"knobs: {{serial: {line.path}}}")
    screen = inputs(file, "--knobs")
    for _ in range(2):
        screen.expect("press any key")
        screen.send(" ")
    screen.expect("no readings came")
    screen.expect(pexpect.EOF)
    screen.close()
    assert screen.exitstatus == 1


def test_the_lines_in_the_help_are_those_that_are_understood():
    shown = run("--help").stdout
    for word in ("press", "down", "up", "pulse 0", "dial 1", "knobs 512 87", "here", "gone"):
        assert word in shown
    assert "mains" in shown
