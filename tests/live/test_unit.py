"""The unit by which a machine at the stall runs the day: it parses, and means what was given."""

from __future__ import annotations

import re
import shutil
import subprocess
from configparser import ConfigParser
from pathlib import Path

import pytest

from showtime.live.unit import UnitError, unit

PROGRAM = ["/opt/showtime/bin/showtime", "run", "stall.yaml"]
OWN = Path("/var/lib/showtime")


def parsed(text):
    """Sections and settings; systemd allows a setting to be given more than once."""
    parser = ConfigParser(strict=False, interpolation=None, delimiters=("=",))
    parser.optionxform = str
    parser.read_string(text)
    return parser


def unquoted(line):
    """Words as systemd.syntax(7) and systemd.service(5) read them."""
    words = re.findall(r'"((?:[^"\\]|\\.)*)"|(\S+)', line)
    plain = [re.sub(r"\\(.)", r"\1", quoted or bare) for quoted, bare in words]
    return [word.replace("%%", "%").replace("$$", "$") for word in plain]


def test_it_starts_again_after_a_fault_and_ends_when_it_is_told():
    service = parsed(unit(PROGRAM, "pi", OWN))["Service"]
    assert service["ExecStart"] == "/opt/showtime/bin/showtime run stall.yaml"
    assert service["User"] == "pi"
    assert service["Restart"] == "on-failure"
    assert service["RestartSec"] == "2"
    assert service["KillSignal"] == "SIGTERM"
    assert service["TimeoutStopSec"] == "10"
    assert service["RestartPreventExitStatus"] == "2"


def test_it_starts_with_the_machine_after_sound_and_clock():
    read = parsed(unit(PROGRAM, "pi", OWN))
    assert {"sound.target", "time-sync.target"} <= set(read["Unit"]["After"].split())
    assert read["Install"]["WantedBy"] == "multi-user.target"


@pytest.mark.parametrize(
    ("setting", "value"),
    [
        ("NoNewPrivileges", "yes"),
        ("ProtectSystem", "strict"),
        ("ProtectHome", "yes"),
        ("PrivateTmp", "yes"),
        ("PrivateNetwork", "yes"),
        ("DevicePolicy", "closed"),
        ("CapabilityBoundingSet", ""),
        ("StateDirectory", "showtime"),
        ("SupplementaryGroups", "audio gpio input dialout"),
    ],
)
def test_it_may_do_no_more_than_it_needs(setting, value):
    assert parsed(unit(PROGRAM, "pi", OWN))["Service"][setting] == value


@pytest.mark.parametrize("device", ["char-alsa", "char-gpiochip", "char-input", "char-ttyUSB"])
def test_it_reaches_sound_pins_buttons_and_serial_lines(device):
    assert f"DeviceAllow={device} rw\n" in unit(PROGRAM, "pi", OWN)


def test_asking_the_kernel_about_the_clock_is_not_forbidden():
    service = parsed(unit(PROGRAM, "pi", OWN))["Service"]
    assert "clock_adjtime" in service["SystemCallFilter"].split()
    assert "ProtectClock" not in service


def test_a_network_is_allowed_when_it_is_asked_for():
    service = parsed(unit(PROGRAM, "pi", OWN, network=True))["Service"]
    assert "PrivateNetwork" not in service
    assert "AF_INET" in service["RestrictAddressFamilies"].split()


@pytest.mark.parametrize(
    "word",
    [
        "my stall.yaml",
        "100%.yaml",
        "%h",
        "$HOME",
        'the "tin" orchard',
        "back\\slash",
        "it's",
        "ü.yaml",
    ],
)
def test_every_word_reaches_the_program_as_it_was_given(word):
    command = [f"/opt/{word}/showtime", "run", word]
    line = parsed(unit(command, "pi", OWN))["Service"]["ExecStart"]
    # In the program's own path $ stands for itself (systemd.service(5)).
    assert unquoted(line) == command
    assert not re.search(r"(?<!%)%(?:%%)*(?!%)", line)


def test_folders_elsewhere_are_named_and_a_home_is_readable():
    state = Path("/home/pi/my shows/100%")
    text = unit(PROGRAM, "pi", state, writes=[Path("/home/pi/.cache/showtime")])
    service = parsed(text)["Service"]
    assert 'ReadWritePaths="-/home/pi/my shows/100%%"\n' in text
    assert "ReadWritePaths=-/home/pi/.cache/showtime\n" in text
    assert service["ProtectHome"] == "read-only"
    assert "StateDirectory" not in service


@pytest.mark.parametrize(
    ("command", "user", "state", "wrong"),
    [
        (["showtime", "run"], "pi", OWN, "full paths"),
        (PROGRAM, "pi", Path("var"), "full paths"),
        (PROGRAM, "pi\nExecStartPre=/bin/sh", OWN, "not the name of a user"),
        (PROGRAM, "", OWN, "not the name of a user"),
        ([*PROGRAM, "a\nExecStartPre=/bin/sh"], "pi", OWN, "line break"),
    ],
)
def test_what_cannot_stand_in_a_unit_is_refused(command, user, state, wrong):
    with pytest.raises(UnitError, match=wrong):
        unit(command, user, state)


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="systemd is not on this machine")
@pytest.mark.parametrize("state", [OWN, Path("/home/pi/my shows/100%")])
def test_systemd_finds_nothing_wrong_with_it(tmp_path, state):
    program = tmp_path / "the 100% $how"
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    file = tmp_path / "showtime.service"
    file.write_text(unit([str(program), "run", "my stall.yaml"], "root", state, writes=[tmp_path]))
    verified = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", str(file)],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    about_it = [line for line in verified.stderr.splitlines() if file.name in line]
    assert (verified.returncode, about_it) == (0, [])
