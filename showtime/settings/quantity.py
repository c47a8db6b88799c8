"""Quantities with their units: lengths of time, levels, currents and their like."""

from __future__ import annotations

import re
from collections.abc import Mapping as Table
from dataclasses import dataclass
from datetime import timedelta
from typing import Literal
from unicodedata import normalize

from showtime.settings.kinds import Schema, scalar
from showtime.settings.problem import Problems
from showtime.settings.tree import Node

DAY = timedelta(hours=24)
ZERO = timedelta(0)

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_LENGTH = (
    rf"^(?=[0-9])(?:(?P<h>{_NUMBER}) ?(?:hours|hour|h))?"
    rf" ?(?:(?P<min>{_NUMBER}) ?(?:minutes|minute|min))?"
    rf" ?(?:(?P<s>{_NUMBER}) ?(?:seconds|second|sec|s))?$"
)
_LENGTH_UNITS = "h, min and s"


def _typed(node: Node, expected: str, problems: Problems) -> str | None:
    """The text with one kind of space and of minus sign, single spaces, and no odd ℃."""
    value = scalar(node, expected, problems)
    if value is None:
        return None
    return " ".join(normalize("NFKC", value.text).replace("\N{MINUS SIGN}", "-").split())


def _complain(
    text: str, what: str, units: str, example: str, node: Node, problems: Problems
) -> None:
    """Why a text that is no quantity is none, as closely as can be told."""
    text = text if len(text) <= 30 else text[:27] + "..."
    if re.fullmatch(r"-?[0-9]+,[0-9]+\D*", text):
        problems.add(node.where, f"'{text}' has a comma; write {text.replace(',', '.', 1)}")
    elif re.fullmatch(rf"[-+]?{_NUMBER}", text):
        problems.add(
            node.where, f"{text} has no unit; {what} is given in {units}, such as {example}"
        )
    else:
        problems.add(node.where, f"'{text}' is not {what} in {units}; write one such as {example}")


@dataclass(frozen=True)
class Length:
    """A length of time from `least`, or else above nothing, and up to `most`."""

    example: str
    least: timedelta | None = None
    most: timedelta = DAY

    def read(self, node: Node, problems: Problems) -> timedelta | None:
        expected = f"a length of time, such as {self.example}"
        text = _typed(node, expected, problems)
        if text is None:
            return None
        parts = re.search(_LENGTH, text.removeprefix("-"))
        if not parts:
            _complain(text, "a length of time", _LENGTH_UNITS, self.example, node, problems)
            return None
        seconds = sum(
            float(parts[unit] or 0) * size for unit, size in (("h", 3600), ("min", 60), ("s", 1))
        )
        wrong = self._out_of_range(-seconds if text.startswith("-") else seconds)
        if wrong:
            problems.add(node.where, f"'{text[:30]}' {wrong}; write one such as {self.example}")
            return None
        return timedelta(seconds=seconds)

    def _out_of_range(self, seconds: float) -> str:
        if self.least is None and seconds < 0.001:
            return "is no length of time above nothing"
        if self.least is not None and seconds < self.least.total_seconds():
            return f"is less than {plain(self.least)}"
        return f"is more than {plain(self.most)}" if seconds > self.most.total_seconds() else ""

    def schema(self) -> Schema:
        return {
            "type": "string",
            "pattern": _LENGTH.replace("?P<h>", "").replace("?P<min>", "").replace("?P<s>", ""),
        }


@dataclass(frozen=True)
class Stretch:
    """The stretch of time that a cap looks at: a length, or the whole `day`."""

    example: str = "60 min"

    def read(self, node: Node, problems: Problems) -> timedelta | Literal["day"] | None:
        text = _typed(node, f"a length of time such as {self.example}, or day", problems)
        if text in (None, "day"):
            return "day" if text else None
        return Length(f"{self.example}, or day").read(node, problems)

    def schema(self) -> Schema:
        return {"anyOf": [{"const": "day"}, Length(self.example).schema()]}


def plain(length: timedelta) -> str:
    """A length as a person would type it: `1 h 30 min`."""
    seconds = length.total_seconds()
    hours, rest = divmod(abs(seconds), 3600)
    minutes, rest = divmod(rest, 60)
    parts = [f"{value:g} {unit}" for value, unit in ((hours, "h"), (minutes, "min"), (rest, "s"))]
    told = " ".join(part for part in parts if not part.startswith("0 "))
    return ("-" if seconds < 0 else "") + (told or "0 min")


@dataclass(frozen=True)
class Measure:
    """A number with a unit. `units`: spelling -> factor to the first one, in lower case.

    From `least` to `most` in the first unit; `above` instead of `least` leaves its value out.
    """

    what: str
    units: Table[str, float]
    example: str
    least: float = 0.0
    most: float = 1000.0
    above: bool = False

    def read(self, node: Node, problems: Problems) -> float | None:
        text = _typed(node, f"{self.what}, such as {self.example}", problems)
        if text is None:
            return None
        parts = re.fullmatch(rf"([-+]?{_NUMBER}) ?(\S.*)", text)
        factors = {unit.lower(): factor for unit, factor in self.units.items()}
        if not parts or parts[2].lower() not in factors:
            _complain(text, self.what, self._named, self.example, node, problems)
            return None
        value = float(parts[1]) * factors[parts[2].lower()]
        if not self.least <= value <= self.most or (self.above and value == self.least):
            problems.add(
                node.where,
                f"'{text[:30]}' is out of range; {self.what} is"
                f" {'above' if self.above else 'from'} {self.least:g} and up to {self.most:g}"
                f" {next(iter(self.units))}",
            )
            return None
        return value

    @property
    def _named(self) -> str:
        return next(iter(self.units))

    def schema(self) -> Schema:
        units = "|".join(re.escape(unit) for unit in self.units)
        return {"type": "string", "pattern": rf"^[-+]?{_NUMBER}\s?({units})$"}


LEVEL = Measure("a sound level", {"dBA": 1, "dB(A)": 1, "dB A": 1}, "74 dBA", most=150)
RISE = Measure("a rise in temperature", {"K": 1}, "40 K", most=500)
CURRENT = Measure("a current", {"A": 1, "mA": 0.001}, "2.4 A", most=500)
CHARGE = Measure("a charge", {"Ah": 1, "mAh": 0.001}, "7 Ah", most=10_000, above=True)
WARMTH = Measure("a temperature", {"°C": 1, "C": 1}, "21 °C", least=-60, most=300)
DISTANCE = Measure("a distance", {"m": 1, "cm": 0.01}, "3 m", most=10_000, above=True)
PLACE = Measure("a place in the hall", {"m": 1, "cm": 0.01}, "4.5 m", least=-10_000, most=10_000)
SHARE = Measure("a share", {"%": 1}, "20 %", most=99)
PACE = Measure(
    "a pace", {"words/min": 1, "words a minute": 1, "wpm": 1}, "170 words/min", least=80, most=450
)
PITCH = Measure("a pitch", {"%": 1}, "110 %", least=60, most=160)
VOLUME = Measure("a volume", {"%": 1}, "80 %", least=1, most=100)
PAUSE = Measure("a short time", {"ms": 1, "s": 1000}, "10 ms", most=5000)
