"""The knobs' readings -> a time that is set."""

from __future__ import annotations

from showtime.fair import wiring
from showtime.triggers import knobs
from showtime.triggers.host import EASY, Host
from showtime.triggers.setting import Setting
from showtime.triggers.signals import Gone, Signal, Turned


class Turning:
    """A time counts once both knobs are still; turned on before it counts, it is forgotten."""

    def __init__(self, of: wiring.Knobs, host: Host) -> None:
        self._of = of
        self._knobs = knobs.Knobs(of.hour, of.minute)
        self._setting = Setting(of.sets, host)

    @property
    def pace(self) -> float | None:
        return EASY if self._setting.open else None

    def heard(self, signal: Signal) -> None:
        if isinstance(signal, Gone):
            # How they stand when they come back is no setting.
            self._knobs = knobs.Knobs(self._of.hour, self._of.minute)
            self._setting.withdraw(signal.at)
        elif isinstance(signal, Turned):
            stood = self._knobs.stands_at
            turned = self._knobs.read(signal.at, signal.hour, signal.minute)
            if self._setting.open and self._knobs.stands_at != stood:
                self._setting.withdraw(signal.at)
            if turned is not None:
                self._setting.turned(turned.at, turned.hour, turned.minute)

    def tick(self, now: int) -> None:
        self._setting.tick(now)
