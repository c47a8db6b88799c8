"""From the settings to the figure."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

from showtime.fair import Controller, Stall
from showtime.figure.exchange import Pace
from showtime.figure.link import Link
from showtime.figure.wired import WiredFigure
from showtime.live.clock import Clock
from showtime.live.ports import Figure, IdleFigure
from showtime.live.reports import Failed, Readings, Report

_NOD = 0.02
"""Seconds between looks at the line while somebody waits for a first word."""


@dataclass(frozen=True, slots=True)
class Tried:
    """Whether the controller answers and all is well with it; else what is wrong."""

    good: bool
    why: str
    readings: Readings | None


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


def tried(
    controller: Controller, clock: Clock, stop: threading.Event, seconds: float = 5.0
) -> Tried:
    """Greet the controller and hear what it says, for at most so long; nothing moves by it.

    `stop` ends it early. What was opened for it is closed again.
    """
    heard: list[Report] = []
    figure = wired_figure(controller, clock.monotonic)
    figure.listen(heard.append)
    until = clock.monotonic() + seconds
    figure.step()
    while not _told(heard) and clock.monotonic() < until and not clock.wait(stop, _NOD):
        figure.step()
    bonded = figure.ready
    figure.close()
    faults = [report.why for report in heard if isinstance(report, Failed)]
    readings = [report for report in heard if isinstance(report, Readings)]
    if bonded or faults:
        return Tried(bonded and not faults, "; ".join(faults), readings[-1] if readings else None)
    return Tried(False, figure.silent, None)


def _told(heard: list[Report]) -> bool:
    return any(not isinstance(report, Readings) for report in heard)
