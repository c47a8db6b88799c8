"""From the settings to the figure."""

from __future__ import annotations

from collections.abc import Callable

from showtime.fair import Controller, Stall
from showtime.figure.exchange import Pace
from showtime.figure.link import Link
from showtime.figure.wired import WiredFigure
from showtime.live.clock import Clock
from showtime.live.ports import Figure, IdleFigure


def open_figure(stall: Stall, clock: Clock) -> Figure:
    """The figure as it is wired up, attended to from now on; one that does nothing if it is not."""
    if stall.controller is None:
        return IdleFigure()
    figure = wired_figure(stall.controller, clock.monotonic)
    figure.start()
    return figure


def wired_figure(controller: Controller, monotonic: Callable[[], float]) -> WiredFigure:
    """The figure at the end of that line; nobody attends to it yet."""
    from showtime.figure.serialport import SerialPort

    link = Link(
        controller.serial,
        lambda: SerialPort(controller.serial, controller.rate),
        monotonic,
        Pace.of(controller.silence.total_seconds()),
        greeting=round(monotonic() * 10),
    )
    return WiredFigure(link, monotonic, controller.margin)
