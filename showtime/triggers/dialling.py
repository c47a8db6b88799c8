"""A dial's edges -> digits -> a time that is set."""

from __future__ import annotations

from collections.abc import Callable

from showtime.fair import wiring
from showtime.triggers import dial
from showtime.triggers.host import CLOSE, EASY, Host
from showtime.triggers.setting import Setting
from showtime.triggers.signals import Contact, Edge, Gone, Signal

LAG = 80_000
"""Microseconds that an edge may be on its way: USB adapters hold bytes back for up to 16 ms (common
practice), a busy machine for longer. The dial is told of the passing of time so much later."""

PULLED = "the dial was pulled out"


Overhear = Callable[[dial.Heard], None]
"""Is told each digit as it is read, or why it is in doubt."""


def _nobody(heard: dial.Heard) -> None:
    """Where nobody watches."""


class Dialling:
    """Reads a dial: an edge's own time counts, not when it came."""

    def __init__(self, of: wiring.Dial, host: Host, overhear: Overhear = _nobody) -> None:
        self._overhear = overhear
        self._wired = of.off_normal is not None
        self._host = host
        self._latest = host.micros()
        self._dial = dial.Dial(self._latest, self._wired)
        self._setting = Setting(of.sets, host)

    @property
    def pace(self) -> float | None:
        if self._dial.turning:
            return CLOSE
        return EASY if self._setting.open else None

    def heard(self, signal: Signal) -> None:
        if isinstance(signal, Gone):
            self._gone(signal.at)
        elif isinstance(signal, Edge) and signal.contact is Contact.PULSE:
            self._latest = max(self._latest, signal.at)
            self._tell(self._dial.edge(signal.at, not signal.closed))
        elif isinstance(signal, Edge) and signal.contact is Contact.OFF_NORMAL:
            # One that sends these by its line has the contact, whatever the settings say.
            self._wire()
            self._latest = max(self._latest, signal.at)
            self._tell(self._dial.off_normal(signal.at, signal.closed))

    def tick(self, now: int) -> None:
        late = now - LAG
        if late > self._latest:
            self._latest = late
            self._tell(self._dial.tick(late))
        self._setting.tick(now, turning=self._dial.turning)

    def _wire(self) -> None:
        if not self._wired:
            self._wired = True
            self._dial = dial.Dial(self._latest, True)

    def _gone(self, at: int) -> None:
        spoilt = self._dial.turning
        self._latest = max(self._latest, at)
        self._dial = dial.Dial(self._latest, self._wired)
        if spoilt:
            self._setting.doubt(at, PULLED)

    def _tell(self, heard: dial.Heard | None) -> None:
        if heard is None:
            return
        self._overhear(heard)
        if heard.digit is None:
            self._setting.doubt(heard.at, heard.doubt)
        else:
            self._setting.digit(heard.at, heard.digit)
