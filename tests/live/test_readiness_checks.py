"""Single checks before the fair opens: power, quiet intervals, buttons; and what hangs or fails."""

from __future__ import annotations

import threading
import time
from dataclasses import replace
from pathlib import Path

import pytest

from showtime.fair import Day, Stall
from showtime.fair.wiring import Button, Deeds, Port
from showtime.live import JournalError
from showtime.live.readiness import Check, Readiness, State, mend, ok, tried
from showtime.live.readiness.deeds import deeds
from showtime.live.readiness.planned import quiet
from showtime.live.readiness.power import power


def test_a_calendar_that_gave_nothing_is_missing_from_the_list(saturday: Day) -> None:
    day = saturday
    assert "organ recitals" in quiet(day)[0].says
    without = replace(day, quiet=tuple(q for q in day.quiet if "organ" not in q.why))
    assert "organ recitals" not in quiet(without)[0].says


@pytest.mark.parametrize(
    ("deed", "wrong"),
    [
        *((verb, "") for verb in ("ask", "hold", "release", "skip", "play", "undo", "accept")),
        *((verb, "") for verb in ("late 5", "off 14:30", "add 14:30", "quiet 10", "close 16:00")),
        *((verb, "") for verb in ("step", "clock 14:05", "piece Frost Bells", "set 14:30", "end")),
        ("late", "how many minutes"),
        ("off half past", "not a time of day"),
        ("piece", "which piece"),
        ("piece Nonsense", "Nonsense"),
    ],
)
def test_a_button_that_would_do_nothing_is_told_beforehand(
    tin_orchard: Stall, deed: str, wrong: str
) -> None:
    button = Button(Port("/dev/nothing"), Deeds(press=("ask",), long=tuple(deed.split())))
    found = deeds(replace(tin_orchard, inputs=(button,)), tin_orchard.days[0])
    assert [line.state for line in found] == ([State.MEND] if wrong else [])
    assert all(wrong in line.mend and repr(deed) in line.says for line in found)


def test_a_time_that_the_keeper_knows_to_be_wrong_is_to_be_mended() -> None:
    line = ok("clock", "09:30")
    assert Readiness.right(line, False).state is State.MEND
    assert Readiness.right(line, None) == line
    assert Readiness.right(line, True).says == "09:30, and by you"


# Power: Linux' Documentation/hwmon/sysfs-interface.rst and ABI/testing/sysfs-class-power.


def put(root: Path, path: str, text: str) -> None:
    file = root / path
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text + "\n")


@pytest.mark.parametrize(
    ("files", "state", "says"),
    [
        ({}, "ok", "tells nothing"),
        ({"sys/class/hwmon/hwmon1/in0_lcrit_alarm": "0"}, "ok", "voltage in order"),
        ({"sys/class/hwmon/hwmon1/in0_lcrit_alarm": "1"}, "mend", "too little voltage"),
        ({"sys/class/hwmon/hwmon1/in2_min_alarm": "1"}, "mend", "too little voltage"),
        ({"sys/devices/platform/soc/soc:firmware/get_throttled": "0"}, "ok", "in order"),
        ({"sys/devices/platform/soc/soc:firmware/get_throttled": "50005"}, "mend", "too little"),
        ({"sys/devices/platform/soc/soc:firmware/get_throttled": "0x50000"}, "look", "since"),
        ({"sys/class/thermal/thermal_zone0/temp": "85000"}, "look", "85 °C"),
        ({"sys/class/thermal/thermal_zone0/temp": "45000"}, "ok", "45 °C"),
        ({"sys/class/thermal/thermal_zone0/temp": "nonsense"}, "ok", "tells nothing"),
    ],
)
def test_what_the_machine_tells_of_its_power(
    tmp_path: Path, files: dict[str, str], state: str, says: str
) -> None:
    for path, text in files.items():
        put(tmp_path, path, text)
    (line,) = power(tmp_path)
    assert (line.state.value, says in line.says) == (state, True), line


@pytest.mark.parametrize(
    ("status", "left", "state"),
    [("Discharging", "43", "look"), ("Charging", "43", "ok"), ("Discharging", "90", "ok")],
)
def test_a_computer_on_its_own_battery(tmp_path: Path, status: str, left: str, state: str) -> None:
    for name, text in {"type": "Battery", "status": status, "capacity": left}.items():
        put(tmp_path, f"sys/class/power_supply/BAT0/{name}", text)
    for name, text in {"type": "Battery", "scope": "Device", "capacity": "3"}.items():
        put(tmp_path, f"sys/class/power_supply/mouse/{name}", text)
    (line,) = power(tmp_path)
    assert line.state.value == state and f"{left} %" in line.says


# Whatever hangs or fails.


def test_what_hangs_is_given_up_and_the_others_are_told() -> None:
    never = threading.Event()

    def hangs() -> list[object]:
        never.wait()
        return []

    begun = time.monotonic()
    checks = [Check("one", hangs, 0.4), Check("two", lambda: [ok("two", "well")], 5)]
    found = list(tried([*checks, Check("three", hangs, 0.4)], time.monotonic))
    assert time.monotonic() - begun < 2
    assert [(each.name, each.state.value) for each in found] == [
        ("one", "mend"),
        ("two", "ok"),
        ("three", "mend"),
    ]
    assert "no answer" in found[0].says
    never.set()


def test_a_fault_of_the_program_is_a_line_and_no_traceback(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))

    def faulty() -> list[object]:
        raise ZeroDivisionError("oh")

    def refusing() -> list[object]:
        raise JournalError("it is another day's; give another --journal")

    before = threading.excepthook
    checks = [Check("one", faulty), Check("two", refusing)]
    one, two = tried(checks, time.monotonic)
    assert threading.excepthook is before
    assert one.state is State.MEND and "ZeroDivisionError" in one.says
    assert two == mend("two", "it is another day's", "give another --journal")
    assert capsys.readouterr() == ("", "")


def test_a_day_without_quiet_intervals_says_so(saturday: Day) -> None:
    bare = replace(saturday, quiet=())
    assert quiet(bare)[0].says == "no quiet intervals on this day"
