"""What devices send, and what it means: for the keeper who wires them up."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from showtime.fair import wiring
from showtime.triggers import dial
from showtime.triggers.attached import Attached, Opening
from showtime.triggers.clicker import clicker
from showtime.triggers.dialling import Dialling
from showtime.triggers.host import Receiver
from showtime.triggers.inputs import Board, devices_of, name_of, receiver_of
from showtime.triggers.plugged import Plugged
from showtime.triggers.serialport import serial_port
from showtime.triggers.signals import (
    Contact,
    Device,
    Gone,
    Heard,
    Micros,
    Pressed,
    Signal,
    Turned,
)
from showtime.triggers.ticking import Guarded, Ticking
from showtime.triggers.wouldbe import WouldBe


@dataclass(frozen=True, slots=True)
class Seen:
    """Something that was seen of a device at `at` microseconds: what it `sent`, in words, or what
    that came to, as `meant`, or what befell the device itself, as `trouble`.

    `kind`: button, dial, knobs or presence, by what was sent. `turned`: how the knobs read.
    """

    device: str
    at: int
    sent: str = ""
    meant: str = ""
    trouble: str = ""
    kind: str = ""
    turned: tuple[int, int] | None = None


Watch: TypeAlias = Callable[[Seen], None]


_SENT = {
    Contact.BUTTON: ("button", "up", "down"),
    Contact.PULSE: ("dial", "contact opens", "contact closes"),
    Contact.OFF_NORMAL: ("dial", "home", "turned away"),
    Contact.PRESENCE: ("presence", "nobody there", "somebody there"),
}


def in_words(signal: Signal) -> tuple[str, str]:
    """What kind of input sends such a signal, and what it says."""
    if isinstance(signal, Pressed):
        return "button", "press"
    if isinstance(signal, Turned):
        return "knobs", f"hour {signal.hour:5}  minute {signal.minute:5}"
    if isinstance(signal, Gone):
        return "", "gone"
    kind, *words = _SENT[signal.contact]
    return kind, f"{words[signal.closed]} {signal.key}".rstrip()


class Looking:
    """Takes devices up and tells all that is seen of them. Nothing is done to a stall.

    `hours`: when the stall opens and closes, in minutes of the day.
    """

    def __init__(
        self,
        wired: Sequence[wiring.Input],
        watch: Watch,
        micros: Micros,
        hours: tuple[int, int],
        board: Board | None = None,
    ) -> None:
        self._wired = wired
        self._watch = watch
        self._micros = micros
        self._hours = hours
        self._board = board or Board()
        self._ticking = Ticking(micros)
        self._guarded: list[Guarded] = []
        self._found: set[str] = set()
        self._devices: list[Device] = devices_of(wired, self._heard, self._say, micros, self._board)

    def start(self) -> None:
        """Take up what the settings name."""
        self._ticking.start(self._guarded)
        for device in self._devices:
            device.start()

    @property
    def names(self) -> tuple[str, ...]:
        """The devices that the settings name."""
        return tuple(dict.fromkeys(name_of(each) for each in self._wired))

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each device that is of no use now."""
        return tuple(device.trouble for device in self._devices if device.trouble)

    def find(self, there: Plugged) -> None:
        """Listen to all that is plugged in beside that, without taking it for ourselves."""
        for found in there.keyboards:
            if self._is_new(found.name):
                wanted = wiring.Clicker(found.name)
                opening = clicker(wanted, self._board.keyboards, self._micros, alone=False)
                self._listen(found.name, opening)
        for path, _ in there.ports:
            if self._is_new(path):
                self._listen(path, serial_port(wiring.Port(path), self._micros))

    def close(self) -> None:
        for device in self._devices:
            device.close()
        self._ticking.close()

    def _is_new(self, name: str) -> bool:
        """True for one that is neither wired nor found before."""
        for each in self._wired:
            of = each.of
            if isinstance(of, wiring.Clicker) and of.name.lower() in name.lower():
                return False
            if isinstance(of, wiring.Port) and of.path == name:
                return False
        if name in self._found:
            return False
        self._found.add(name)
        return True

    def _listen(self, name: str, opening: Opening) -> None:
        heard = self._only_signals(name)
        device = Attached(name, opening, heard, self._say, self._micros, self._board.again)
        self._devices.append(device)
        device.start()

    def _only_signals(self, name: str) -> Heard:
        def heard(signal: Signal) -> None:
            kind, sent = in_words(signal)
            turned = (signal.hour, signal.minute) if isinstance(signal, Turned) else None
            self._watch(Seen(name, signal.at, sent, kind=kind, turned=turned))

        return heard

    def _heard(self, them: Sequence[wiring.Input]) -> Heard:
        name = name_of(them[0])
        listening = [Guarded(self._receiver(each, name), self._ticking.wake) for each in them]
        self._guarded += listening
        only = self._only_signals(name)

        def heard(signal: Signal) -> None:
            only(signal)
            for each in listening:
                each.heard(signal)

        return heard

    def _receiver(self, each: wiring.Input, name: str) -> Receiver:
        def meant(what: str) -> None:
            self._watch(Seen(name, self._micros(), meant=what))

        def read(heard: dial.Heard) -> None:
            meant(f"digit {heard.digit}" if heard.digit is not None else f"doubt: {heard.doubt}")

        host = WouldBe(self._hours, self._micros, meant)
        return (
            Dialling(each, host, read) if isinstance(each, wiring.Dial) else receiver_of(each, host)
        )

    def _say(self, line: str) -> None:
        self._watch(Seen("", self._micros(), trouble=line))
