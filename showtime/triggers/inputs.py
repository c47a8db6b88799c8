"""All that a stall has to press, turn and walk past, taken up together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from showtime.fair import wiring
from showtime.triggers.attached import AGAIN, Attached, Opening
from showtime.triggers.clicker import clicker
from showtime.triggers.converter import converter
from showtime.triggers.dialling import Dialling
from showtime.triggers.gathering import Gathering
from showtime.triggers.host import Host, Receiver
from showtime.triggers.keyboards import Keyboards, LinuxKeyboards
from showtime.triggers.pins import pins
from showtime.triggers.pressing import Pressing
from showtime.triggers.serialport import serial_port
from showtime.triggers.signals import Contact, Device, Heard, Micros, Told
from showtime.triggers.ticking import Guarded, Ticking
from showtime.triggers.turning import Turning


@dataclass(frozen=True)
class Board:
    """What the devices are plugged into; real, unless something else is handed in.

    `factory`: as gpiozero has them; None for the board's own. `again`: seconds until a missing
    device is looked for again.
    """

    keyboards: Keyboards = field(default_factory=LinuxKeyboards)
    factory: Any = None
    again: float = AGAIN


def name_of(each: wiring.Input) -> str:
    """What a keeper calls the device of an input."""
    of = each.of
    if isinstance(of, wiring.Clicker):
        return of.name
    if isinstance(of, wiring.Port):
        return of.path
    if isinstance(of, wiring.Converter):
        return of.chip.value
    return f"dial on pin {of.pin}" if isinstance(each, wiring.Dial) else f"pin {of.pin}"


def opening_of(each: wiring.Input, board: Board, micros: Micros) -> Opening:
    """What takes up the device of an input."""
    of = each.of
    if isinstance(of, wiring.Clicker):
        return clicker(of, board.keyboards, micros)
    if isinstance(of, wiring.Port):
        return serial_port(of, micros)
    if isinstance(of, wiring.Converter):
        return converter(of, micros, board.factory)
    if isinstance(each, wiring.Dial):
        wires = {Contact.PULSE: of}
        if each.off_normal is not None:
            wires[Contact.OFF_NORMAL] = each.off_normal
        return pins(wires, micros, board.factory)
    what = Contact.PRESENCE if isinstance(each, wiring.Presence) else Contact.BUTTON
    return pins({what: of}, micros, board.factory)


def devices_of(
    wired: Sequence[wiring.Input],
    heard: Callable[[Sequence[wiring.Input]], Heard],
    told: Told,
    micros: Micros,
    board: Board,
) -> list[Device]:
    """The devices of the inputs: one for all that come by the same line.

    `heard` is asked once a device who is to hear it.
    """
    together: dict[str, list[wiring.Input]] = {}
    for each in wired:
        together.setdefault(name_of(each), []).append(each)
    return [
        Attached(name, opening_of(them[0], board, micros), heard(them), told, micros, board.again)
        for name, them in together.items()
    ]


class Inputs:
    """Takes up the devices of a day, and gives them back."""

    def __init__(
        self,
        wired: Sequence[wiring.Input],
        host: Host,
        told: Told,
        board: Board | None = None,
    ) -> None:
        self._host = host
        self._told = told
        self._late = False
        self._lines: list[str] = []
        self._ticking = Ticking(host.micros)
        self._guarded: list[Guarded] = []
        self._devices = devices_of(wired, self._heard, self._say, host.micros, board or Board())
        self._deeds = [deed for each in wired for deed in _deeds(each)]

    def start(self) -> str:
        """Take all of them up. A line about those that are not there and about deeds that mean
        nothing; empty when all is well. What befalls them later is told."""
        self._ticking.start(self._guarded)
        for device in self._devices:
            device.start()
        self._late = True
        return _in_short(self._devices, [*self._lines, *self._wrong_deeds()])

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each device that is of no use now."""
        return tuple(device.trouble for device in self._devices if device.trouble)

    def close(self) -> None:
        for device in self._devices:
            device.close()
        self._ticking.close()

    def _say(self, line: str) -> None:
        if self._late:
            self._told(line)
        else:
            self._lines.append(line)

    def _heard(self, them: Sequence[wiring.Input]) -> Heard:
        listening = [Guarded(receiver_of(each, self._host), self._ticking.wake) for each in them]
        self._guarded += listening

        def heard(signal: Any) -> None:
            for each in listening:
                each.heard(signal)

        return heard

    def _wrong_deeds(self) -> list[str]:
        found = ((deed, self._host.wrong(deed)) for deed in self._deeds)
        return [f"'{' '.join(deed)}' of the inputs: {why}" for deed, why in found if why]


def receiver_of(each: wiring.Input, host: Host) -> Receiver:
    """What makes something of an input's signals."""
    if isinstance(each, wiring.Button):
        return Pressing(each, name_of(each), host)
    if isinstance(each, wiring.Dial):
        return Dialling(each, host)
    if isinstance(each, wiring.Knobs):
        return Turning(each, host)
    return Gathering(each, name_of(each), host)


def _deeds(each: wiring.Input) -> tuple[tuple[str, ...], ...]:
    if not isinstance(each, wiring.Button):
        return ()
    return tuple(deed for deed in each.deeds.every if deed[0] not in ("step", "accept"))


def _in_short(devices: Sequence[Device], lines: Sequence[str]) -> str:
    missing = [device.name for device in devices if device.trouble]
    if len(missing) < 2:
        return "; ".join(lines)
    others = [line for line in lines if line not in {device.trouble for device in devices}]
    short = f"{len(missing)} inputs are not there: {', '.join(missing)}; showtime inputs tells why"
    return "; ".join([short, *others])
