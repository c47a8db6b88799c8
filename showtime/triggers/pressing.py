"""A button's signals -> deeds."""

from __future__ import annotations

from showtime.fair.wiring import Button, Clicker, Wire
from showtime.triggers.host import CLOSE, EASY, Host
from showtime.triggers.presses import DOUBLE, LONG, SHORT, Presses
from showtime.triggers.signals import AT_START, Contact, Edge, Gone, Pressed, Signal, micros_of
from showtime.triggers.stepping import Outcome, Step, Stepping

_DEBOUNCE = 10_000
"""Where the settings give none: keyboards and microcontrollers have debounced already."""

_STEP, _ACCEPT = "step", "accept"


class Pressing:
    """What a button does. The first short press after an offer takes it: nothing else is meant."""

    def __init__(self, button: Button, name: str, host: Host) -> None:
        self._name = name
        self._host = host
        self._deeds = button.deeds
        self._keys = button.of.keys if isinstance(button.of, Clicker) else ()
        self._done = {
            SHORT: button.deeds.press,
            LONG: button.deeds.long,
            DOUBLE: button.deeds.double,
        }
        self._debounce = micros_of(button.of.debounce) if isinstance(button.of, Wire) else _DEBOUNCE
        self._presses = self._anew()
        self._stepping: Stepping[int] = Stepping()

    @property
    def pace(self) -> float | None:
        if self._presses.busy:
            return CLOSE
        return EASY if self._stepping.offered is not None else None

    def heard(self, signal: Signal) -> None:
        if isinstance(signal, Edge) and signal.contact is Contact.BUTTON:
            if self._keys and signal.key not in self._keys:
                return
            if signal.key == AT_START:
                self._presses = self._anew(held=True)
                return
            self._do(self._presses.edge(signal.at, signal.closed))
        elif isinstance(signal, Pressed):
            down = self._presses.edge(signal.at, True)
            up = self._presses.edge(signal.at + self._debounce, False)
            self._do(down)
            self._do(up)
        elif isinstance(signal, Gone):
            self._do(self._presses.edge(signal.at, False))

    def tick(self, now: int) -> None:
        self._do(self._presses.tick(now))
        if self._stepping.offered is not None:
            if self._host.speaking:
                self._stepping.busy(now)
            self._stepped(self._stepping.tick(now))

    def _anew(self, held: bool = False) -> Presses:
        deeds = self._deeds
        return Presses(
            long=micros_of(deeds.long_after) if deeds.long else 0,
            double=micros_of(deeds.double_within) if deeds.double else 0,
            debounce=self._debounce,
            held=held,
        )

    def _do(self, press: str | None) -> None:
        deed = self._done[press] if press else ()
        if not deed:
            return
        if press == SHORT and deed[0] != "hold" and self._host.accept():
            return
        if deed[0] == _STEP:
            allowed = self._host.allowed(self._deeds.sets)
            self._stepped(self._stepping.step(self._host.micros(), allowed))
        elif deed[0] == _ACCEPT:
            if self._stepping.offered is None:
                self._host.accept()
            self._stepped(self._stepping.accept())
        else:
            self._host.do(deed, self._name)

    def _stepped(self, step: Step[int] | None) -> None:
        if step is None:
            return
        host, sets = self._host, self._deeds.sets
        if step.time is None:
            host.not_caught("no time is allowed any more")
        elif step.outcome is Outcome.OFFERED:
            host.understood(step.time, sets)
        elif step.outcome is Outcome.ACCEPTED:
            host.counts(step.time, sets)
        elif step.outcome is Outcome.CANCELLED:
            host.cancelled(step.time, sets)
