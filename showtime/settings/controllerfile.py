"""The keys that say where the figure's own controller is, and the value they become."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import ClassVar

from showtime.fair import Controller
from showtime.settings.kinds import Text, Whole
from showtime.settings.model import Group, given, required
from showtime.settings.quantity import Length

model = dataclass(frozen=True, kw_only=True, eq=False, repr=False)

_SECOND = timedelta(seconds=1)


@model
class ControllerGroup(Group):
    example: ClassVar[str] = "{serial: /dev/ttyACM0, rate: 115200, margin: 10 s}"
    serial: str = required(Text("/dev/ttyACM0"), "the serial line that the controller is on")
    rate: int = given(
        Whole("115200", least=1200, most=4_000_000),
        "its speed in baud, as the controller's",
        115_200,
    )
    margin: timedelta = given(
        Length("10 s", least=_SECOND, most=timedelta(minutes=5)),
        "how long after a piece's length its end may be told; later is a fault",
        timedelta(seconds=10),
    )
    silence: timedelta = given(
        Length("3 s", least=_SECOND, most=timedelta(minutes=1)),
        "after so long without a word from the controller the link is lost",
        timedelta(seconds=3),
    )


def controller(group: ControllerGroup | None) -> Controller | None:
    """The controller that the figure has, if any."""
    if group is None:
        return None
    return Controller(group.serial, group.rate, group.margin, group.silence, group.where)
