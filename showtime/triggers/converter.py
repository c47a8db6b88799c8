"""Two potentiometers on a converter chip beside the pins, through gpiozero.

Low voltage only: the potentiometers lie between the board's ground and its own 3.3 V.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from showtime.fair.wiring import Converter
from showtime.triggers.attached import NotThereError, Opening
from showtime.triggers.pins import with_board
from showtime.triggers.signals import Micros, Signal, Turned

EVERY = 0.025
"""Seconds between two readings."""


def converter(of: Converter, micros: Micros, factory: Any = None) -> Opening:
    """What takes up the chip. `factory` as gpiozero has them; None for the board's own."""
    return lambda: _Open(of, micros, factory)


class _Open:
    every = EVERY
    files: Sequence[int] = ()
    doubt = ""

    def __init__(self, of: Converter, micros: Micros, factory: Any) -> None:
        self._micros = micros
        self._channels: list[Any] = []
        try:
            for channel in of.channels:
                self._channels.append(_taken(of, channel, factory))
        except NotThereError:
            self.close()
            raise

    def read(self) -> Iterable[Signal]:
        hour, minute = (channel.raw_value for channel in self._channels)
        yield Turned(hour, minute, self._micros())

    def close(self) -> None:
        for channel in self._channels:
            channel.close()
        self._channels.clear()


def _taken(of: Converter, channel: int, factory: Any) -> Any:
    def take(gpiozero: Any) -> Any:
        made = getattr(gpiozero, of.chip.value)
        return made(channel=channel, device=of.select, pin_factory=factory)

    return with_board(of.chip.value, take)
