"""What the machine tells of its own supply and warmth, where it is Linux and tells anything.

Linux, Documentation/hwmon/sysfs-interface.rst: `in*_lcrit_alarm`, `in*_min_alarm`;
Documentation/ABI/testing/sysfs-class-power: `type`, `scope`, `status`, `capacity`;
Documentation/driver-api/thermal: `temp` in thousandths of a degree. (`get_throttled` of some
boards' firmware: bit 0 is under-voltage now, bit 16 since the start; from memory.)
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from showtime.live.readiness.check import Line, Lines, look, mend, ok

HOT_C = 80.0
"""From here on small computers slow themselves down (common practice)."""

LOW = 50
"""Percent: a computer that is not charged will hardly last the day on less (common practice)."""

_SUPPLY = "use a stronger supply or a shorter, thicker cable: a computer that dips restarts"


def power(root: Path = Path("/")) -> Lines:
    """`root` is where the machine's /sys is."""
    told = [*_voltage(root), *_batteries(root), *_warmth(root)]
    wrong = [line for line in told if line.state != "ok"]
    if wrong:
        return wrong
    if not told:
        return [ok("power", "this computer tells nothing of its supply")]
    return [ok("power", ", ".join(line.says for line in told))]


def _voltage(root: Path) -> Iterator[Line]:
    alarms = [
        alarm
        for pattern in ("in*_lcrit_alarm", "in*_min_alarm")
        for alarm in sorted(root.glob(f"sys/class/hwmon/hwmon*/{pattern}"))
    ]
    words = [_text(file) for file in root.glob("sys/devices/platform/soc*/*firmware/get_throttled")]
    bits = [int(word, 16) for word in words if word and not set(word) - set("0123456789abcdefx")]
    if any(_text(alarm) == "1" for alarm in alarms) or any(word & 1 for word in bits):
        yield mend("power", "the computer gets too little voltage", _SUPPLY)
    elif any(word & 1 << 16 for word in bits):
        yield look("power", "the computer got too little voltage since it was started", _SUPPLY)
    elif alarms or bits:
        yield ok("power", "voltage in order")


def _batteries(root: Path) -> Iterator[Line]:
    for supply in sorted(root.glob("sys/class/power_supply/*")):
        if _text(supply / "type") != "Battery" or _text(supply / "scope") == "Device":
            continue  # a mouse has a battery, too
        left, status = _text(supply / "capacity"), _text(supply / "status")
        if not left.isdecimal():
            continue
        said = f"the computer's own battery is at {left} %"
        if status == "Discharging" and int(left) < LOW:
            yield look("power", f"{said} and not charging", "plug its charger in")
        else:
            yield ok("power", said)


def _warmth(root: Path) -> Iterator[Line]:
    zones = [_text(zone) for zone in root.glob("sys/class/thermal/thermal_zone*/temp")]
    warmest = max((int(zone) / 1000 for zone in zones if zone.isdecimal()), default=None)
    if warmest is None:
        return
    said = f"the computer is {warmest:.0f} °C warm"
    yield look("power", said, "give it air and shade") if warmest >= HOT_C else ok("power", said)


def _text(file: Path) -> str:
    try:
        return file.read_text("ascii").strip()
    except (OSError, ValueError):
        return ""
