"""From the settings to the figure."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import TYPE_CHECKING

from showtime.fair import Controller
from showtime.figure.exchange import Pace
from showtime.figure.link import Link
from showtime.figure.wire import LAST_NUMBER
from showtime.live.ports import Figure, IdleFigure

if TYPE_CHECKING:
    from showtime.figure.wired import WiredFigure


def open_figure(
    controller: Controller | None, monotonic: Callable[[], float], luck: random.Random
) -> Figure:
    """The figure as it is wired up, attended to from now on; one that does nothing if it is not."""
    if controller is None:
        return IdleFigure()
    figure = wired_figure(controller, monotonic, luck)
    figure.start()
    return figure


def wired_figure(
    controller: Controller, monotonic: Callable[[], float], luck: random.Random
) -> WiredFigure:
    """The figure at the end of that line; nobody attends to it yet."""
    from showtime.figure.serialport import SerialPort
    from showtime.figure.wired import WiredFigure

    link = Link(
        controller.serial,
        lambda: SerialPort(controller.serial, controller.rate),
        monotonic,
        Pace.of(controller.silence.total_seconds()),
        luck.randrange(LAST_NUMBER),
    )
    return WiredFigure(link, monotonic, controller.margin)
