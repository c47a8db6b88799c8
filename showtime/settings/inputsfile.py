"""The keys that say what is there to press, turn and walk past."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from typing import ClassVar

from showtime.fair import wiring
from showtime.fair.wiring import Active, Chip, Pull, Sets
from showtime.settings.kinds import Choice, ListOf, Schema, Text, Whole, closest, scalar, short
from showtime.settings.model import Group, GroupOf, given, optional, required
from showtime.settings.problem import Problems
from showtime.settings.quantity import PAUSE, Length
from showtime.settings.tree import Node

model = dataclass(frozen=True, kw_only=True, eq=False, repr=False)

DEBOUNCE = 10.0
_LONG, _DOUBLE = 600.0, 350.0
BAUD = Whole("115200", least=300, most=4_000_000)
_PORT = Text("/dev/ttyUSB0")


@dataclass(frozen=True)
class Pin:
    """A pin by its GPIO number, or by the name of its place: `17`, `GPIO17`, `BOARD11`."""

    example: str = "17"

    def read(self, node: Node, problems: Problems) -> str | None:
        value = scalar(node, f"a pin, such as {self.example} or BOARD11", problems)
        if value is None:
            return None
        if not re.fullmatch(r"(GPIO|BOARD|J[0-9]+:)?[0-9]{1,3}", value.text):
            problems.add(
                node.where,
                f"'{short(value.text)}' is no pin; write its GPIO number, such as 17, or GPIO17, "
                "or BOARD11 for its place on the header",
            )
            return None
        return value.text

    def schema(self) -> Schema:
        pattern = "^(GPIO|BOARD|J[0-9]+:)?[0-9]{1,3}$"
        return {
            "anyOf": [{"type": "integer", "minimum": 0}, {"type": "string", "pattern": pattern}]
        }


@dataclass(frozen=True)
class DeedWords:
    """What a press does, in the words of `showtime tell`: `ask`, `hold`, `late 5`, `step`."""

    example: str = "ask"

    def read(self, node: Node, problems: Problems) -> tuple[str, ...] | None:
        text = Text(self.example).read(node, problems)
        if text is None:
            return None
        verb, *rest = text.split()
        if verb.lower() not in wiring.VERBS:
            problems.add(
                node.where,
                f"'{short(verb)}' is nothing that can be done; "
                f"{closest(verb.lower(), [*wiring.VERBS])}",
            )
            return None
        return verb.lower(), *rest

    def schema(self) -> Schema:
        return {"type": "string", "pattern": f"^({'|'.join(wiring.VERBS)})( .*)?$"}


@model
class DialGroup(Group):
    example: ClassVar[str] = "{pin: 23, off_normal: 24}"
    one_of: ClassVar[tuple[str, ...]] = ("pin", "serial")
    pin: str | None = optional(Pin("23"), "the pin of its pulses")
    off_normal: str | None = optional(Pin("24"), "the pin that tells that it runs, if wired")
    pull: Pull = given(Choice(Pull), "which resistor holds the pins", Pull.UP)
    active: Active = given(Choice(Active), "their level while a contact is closed", Active.LOW)
    serial: str | None = optional(_PORT, "the line that its edges come by")
    rate: int = given(BAUD, "its speed in baud", 115_200)
    sets: Sets = given(Choice(Sets), "what a dialled time means", Sets.NEXT)


@model
class EndsGroup(Group):
    example: ClassVar[str] = "{hour: [12, 1010], minute: [9, 1015]}"
    hour: tuple[int, ...] = required(
        ListOf(Whole("12", 0, 65_535)), "what the hour's knob reads at either end"
    )
    minute: tuple[int, ...] = required(
        ListOf(Whole("9", 0, 65_535)), "what the minute's knob reads at either end"
    )


@model
class KnobsGroup(Group):
    example: ClassVar[str] = f"{{serial: /dev/ttyUSB0, ends: {EndsGroup.example}}}"
    one_of: ClassVar[tuple[str, ...]] = ("serial", "converter")
    serial: str | None = optional(_PORT, "the line that their readings come by")
    rate: int = given(BAUD, "its speed in baud", 115_200)
    converter: Chip | None = optional(Choice(Chip), "the chip that reads them, on SPI")
    channels: tuple[int, ...] = given(
        ListOf(Whole("0", 0, 7)), "its channels: the hour's, then the minute's", (0, 1)
    )
    select: int = given(Whole("0", 0, 1), "its chip select", 0)
    ends: EndsGroup | None = optional(GroupOf(EndsGroup), "as showtime inputs --knobs finds them")
    sets: Sets = given(Choice(Sets), "what a time set by them means", Sets.NEXT)


@model
class PresenceGroup(Group):
    example: ClassVar[str] = "{pin: 22, pull: down, active: high, every: 5 min}"
    one_of: ClassVar[tuple[str, ...]] = ("pin", "serial")
    pin: str | None = optional(Pin("22"), "the pin of the sensor")
    pull: Pull = given(Choice(Pull), "which resistor holds the pin", Pull.DOWN)
    active: Active = given(Choice(Active), "its level while somebody is there", Active.HIGH)
    serial: str | None = optional(_PORT, "the line that the sensor tells it by")
    rate: int = given(BAUD, "its speed in baud", 115_200)
    every: timedelta = given(
        Length("5 min", least=timedelta(minutes=1)),
        "how soon it may call again",
        timedelta(minutes=5),
    )


@model
class InputGroup(Group):
    example: ClassVar[str] = "{pin: 17, press: ask, long: hold}"
    one_of: ClassVar[tuple[str, ...]] = ("clicker", "pin", "serial", "dial", "knobs", "presence")
    clicker: str | None = optional(
        Text("Presenter"),
        "a part of the name of a clicker or camera remote, which no other keyboard has",
    )
    keys: tuple[str, ...] = given(
        ListOf(Text("volumeup"), most=20), "its keys that count; left out: any", ()
    )
    pin: str | None = optional(Pin(), "a button on a pin")
    pull: Pull = given(Choice(Pull), "which resistor holds the pin", Pull.UP)
    active: Active = given(Choice(Active), "its level while the button is pressed", Active.LOW)
    debounce: float = given(PAUSE, "how long the contact may chatter", DEBOUNCE)
    serial: str | None = optional(_PORT, "a line that presses come by")
    rate: int = given(BAUD, "its speed in baud", 115_200)
    press: tuple[str, ...] = given(DeedWords(), "what a short press does", ("ask",))
    long: tuple[str, ...] = given(DeedWords("hold"), "what a long press does", ())
    double: tuple[str, ...] = given(DeedWords("skip"), "what a double press does", ())
    long_after: float = given(PAUSE, "how long a long press is at least", _LONG)
    double_within: float = given(PAUSE, "how soon the second press of a double comes", _DOUBLE)
    sets: Sets = given(Choice(Sets), "what a time set by `step` means", Sets.NEXT)
    dial: DialGroup | None = optional(GroupOf(DialGroup), "a rotary telephone dial")
    knobs: KnobsGroup | None = optional(GroupOf(KnobsGroup), "two potentiometers")
    presence: PresenceGroup | None = optional(
        GroupOf(PresenceGroup), "a sensor that sees people gather"
    )
