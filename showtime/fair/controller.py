"""The figure's own microcontroller, as the stall's settings name it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta

from showtime.fair.span import Where


@dataclass(frozen=True, slots=True)
class Controller:
    """The figure's own microcontroller on the serial line `serial`, at `rate` baud.

    A piece's end is awaited for `margin` after its length. After `silence` without a word from the
    other side, the controller as much as the program takes the link for lost.
    """

    serial: str
    rate: int = 115_200
    margin: timedelta = timedelta(seconds=10)
    silence: timedelta = timedelta(seconds=3)
    where: Where | None = field(default=None, compare=False)
