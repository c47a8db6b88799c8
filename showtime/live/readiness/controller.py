"""The figure's own controller: does it answer, does a stop reach it, and what does it measure?

Nothing here moves the figure but `move`, which is called after the keeper's yes alone.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Protocol

from showtime.fair import Day, Piece
from showtime.fair.budgets import Heat
from showtime.live.events import Slot
from showtime.live.readiness.check import Line, Lines, look, mend, ok
from showtime.live.reports import Began, Failed, Readings, Report

NAME = "controller"
ANSWERS_WITHIN = 11.0
"""Seconds: many controllers start up when their line is opened."""

MOVES_FOR = 3.0
"""Seconds of the short test."""

_BEGINS_WITHIN = 6.0
_AT_ONCE = 0.3
_LONGEST_STOP = 12.0
_NOD = 0.02


class Wired(Protocol):
    """The figure at the end of its line, attended to from `start` on."""

    @property
    def ready(self) -> bool: ...
    def listen(self, told: Callable[[Report], None]) -> None: ...
    def start(self) -> None: ...
    def follow(self, day: Day, coming: Sequence[Slot], now: datetime) -> None: ...
    def play(self, piece: Piece) -> None: ...
    def stop(self) -> None: ...
    def close(self) -> None: ...


@dataclass
class WiredUp:
    """The controller of a day on the line `serial`. `silence`: after so many seconds a message that
    is not acknowledged loses the link. `needs`: what the day takes of a full battery, None where
    nobody knows."""

    day: Day
    serial: str
    silence: float
    open: Callable[[], Wired]
    needs: Callable[[], float | None]
    monotonic: Callable[[], float]
    _figure: Wired | None = None
    _failed: list[Failed] = field(default_factory=list)
    _began: bool = False
    _well: bool = False
    _shown: Readings = field(default_factory=Readings)
    _pause: threading.Event = field(default_factory=threading.Event)

    @property
    def well(self) -> bool:
        """True once it has answered, stopped and been found fit."""
        return self._well

    def judge(self) -> Lines:
        """Whether it answers, acknowledges a stop, and is fit for the day."""
        if self.serial.startswith("/") and not Path(self.serial).exists():
            return [mend(NAME, f"{self.serial} is not there", "see to its cable and its name")]
        figure = self._figure = self.open()
        figure.listen(self._told)
        figure.start()
        self._until(lambda: figure.ready or bool(self._failed), ANSWERS_WITHIN)
        self._until(lambda: bool(self._failed), _AT_ONCE)  # a fault that it has comes with it
        if self._failed or not figure.ready:
            return [self._trouble("nothing is heard of it")]
        stops = self._stops(figure)
        lines = [stops, *(self._fit() if stops.state == "ok" else ())]
        self._well = all(line.state == "ok" for line in lines)
        return lines

    def move(self, piece: Piece, now: datetime) -> Line:
        """The first moments of `piece`, and a stop. Only after the keeper said yes."""
        figure = self._figure
        if figure is None:
            return look("movement", "not tried: the controller is not there")
        self._failed.clear()
        self._began = False
        try:
            figure.follow(self.day, (), now)
            figure.play(piece)
            self._until(lambda: self._began or bool(self._failed), _BEGINS_WITHIN)
            if self._began:
                self._until(lambda: bool(self._failed), MOVES_FOR)
        finally:
            figure.stop()
        if self._failed or not self._began:
            return replace(self._trouble(f"{piece.name} did not begin"), name="movement")
        stops = self._stops(figure)
        if stops.state != "ok":
            return replace(stops, name="movement")
        return ok("movement", f"{piece.name} began, and stopped when it was told")

    def close(self) -> None:
        """Stop everything, and let the line go."""
        if self._figure is not None:
            self._figure.close()

    def _stops(self, figure: Wired) -> Line:
        """A link that stands after `silence` has had its stop acknowledged: else it were lost."""
        figure.stop()
        wait = self.silence + 0.5
        self._until(lambda: bool(self._failed), min(wait, _LONGEST_STOP))
        if self._failed or not figure.ready:
            return mend(NAME, f"it does not acknowledge a stop: {self._why()}", _CABLE)
        if wait > _LONGEST_STOP:
            return look(NAME, f"it answers; a stop may take {self.silence:.0f} s to be missed")
        return ok(NAME, "it answers, and acknowledges a stop")

    def _fit(self) -> Lines:
        """What it measures against what the day allows and needs."""
        lines = []
        if self._shown.celsius is not None:
            lines.append(self._warmth(self._shown.celsius))
        if self._shown.battery is not None:
            lines.append(self._charge(self._shown.battery))
        return lines or [ok("measured", "it measures neither warmth nor charge")]

    def _warmth(self, celsius: float) -> Line:
        limits = [each.limit_c for each in self.day.budgets if isinstance(each, Heat)]
        said = f"its motors are at {celsius:.0f} °C"
        if limits and celsius >= min(limits):
            return mend("warmth", f"{said}, the limit is {min(limits):g} °C", "let them cool")
        return ok("warmth", said)

    def _charge(self, percent: float) -> Line:
        needs = self.needs()
        said = f"its battery is at {percent:.0f} %"
        if needs is None:
            return ok("charge", said)
        said = f"{said}, the day needs {needs * 100:.0f} %"
        return ok("charge", said) if percent / 100 >= needs else mend("charge", said, "charge it")

    def _trouble(self, otherwise: str) -> Line:
        return mend(NAME, self._why() or otherwise, _CABLE)

    def _why(self) -> str:
        return self._failed[0].why if self._failed else ""

    def _told(self, report: Report) -> None:
        if isinstance(report, Failed):
            self._failed.append(report)
        elif isinstance(report, Readings):
            self._shown = report
        elif isinstance(report, Began):
            self._began = True

    def _until(self, holds: Callable[[], bool], seconds: float) -> None:
        until = self.monotonic() + seconds
        while not holds() and self.monotonic() < until:
            self._pause.wait(_NOD)


_CABLE = "see to its cable and power"
