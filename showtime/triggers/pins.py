"""Contacts on the pins of a single-board computer, through gpiozero.

Low voltage only: a contact that closes a pin to ground, or to the board's own 3.3 V. Nothing that
is connected to the mains may come near a pin.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from typing import Any

from showtime.fair.wiring import Active, Pull, Wire
from showtime.triggers.attached import NotThereError, Opening
from showtime.triggers.signals import AT_START, Contact, Edge, Micros, Signal

_PULLED = {Pull.UP: "up", Pull.DOWN: "down", Pull.NONE: "floating"}

_STALE = 1_000_000
"""Microseconds: the driver's time of an edge is not believed if it is further away than this."""


def pins(wires: Mapping[Contact, Wire], micros: Micros, factory: Any = None) -> Opening:
    """What takes up the pins of a device. `factory` as gpiozero has them; None for the board's."""
    return lambda: _Open(wires, micros, factory)


class _Open:
    """The driver tells edges on a thread that all pins share, with its own times; here they only
    change threads, so that nothing that an edge leads to can hold up or break the next ones."""

    every = None
    doubt = ""

    def __init__(self, wires: Mapping[Contact, Wire], micros: Micros, factory: Any) -> None:
        self._micros = micros
        self._edges: deque[Edge] = deque()
        self._told, self._tell = os.pipe()
        os.set_blocking(self._tell, False)
        os.set_blocking(self._told, False)
        self.files: Sequence[int] = (self._told,)
        self._devices: list[Any] = []
        self._kept: list[Any] = []  # gpiozero refers to its callbacks weakly
        try:
            for contact, wire in wires.items():
                self._devices.append(self._listened(contact, wire, factory))
        except NotThereError:
            self.close()
            raise

    def read(self) -> Iterator[Signal]:
        with suppress(BlockingIOError):
            os.read(self._told, 4096)
        while self._edges:
            yield self._edges.popleft()

    def close(self) -> None:
        for device in self._devices:
            device.pin.when_changed = None
            device.close()
        self._devices.clear()
        os.close(self._tell)
        os.close(self._told)

    def _listened(self, contact: Contact, wire: Wire, factory: Any) -> Any:
        device = taken(wire, factory)
        ticks, since = device.pin_factory.ticks, device.pin_factory.ticks_diff
        closed_is = wire.active is Active.HIGH

        def changed(at: Any, state: Any) -> None:
            now = self._micros()
            ago = round(since(ticks(), at) * 1_000_000)
            was = now - ago if 0 <= ago < _STALE else now
            self._pass_on(Edge(contact, bool(state) == closed_is, was))

        device.pin.edges = "both"
        self._kept.append(changed)
        device.pin.when_changed = changed
        if bool(device.pin.state) == closed_is:
            self._pass_on(Edge(contact, True, self._micros(), AT_START))
        return device

    def _pass_on(self, edge: Edge) -> None:
        self._edges.append(edge)
        with suppress(OSError):  # full of what is still to be read, or closed a moment ago
            os.write(self._tell, b".")


def taken(wire: Wire, factory: Any) -> Any:
    """The pin as an input. NotThereError: there are no pins here, or this one is in use."""
    name: int | str = int(wire.pin) if wire.pin.isdecimal() else wire.pin

    def take(gpiozero: Any) -> Any:
        device = gpiozero.InputDevice(name, pull_up=None, active_state=True, pin_factory=factory)
        device.pin.pull = _PULLED[wire.pull]
        return device

    return with_board(f"pin {wire.pin}", take)


def with_board(name: str, take: Callable[[Any], Any]) -> Any:
    """What `take` takes of gpiozero. NotThereError: it cannot, said of `name`."""
    try:
        import gpiozero
    except ImportError as error:
        raise NotThereError(
            f"{name}: pins need gpiozero, which is not installed here: "
            "pip install 'showtime[inputs]'",
            lasting=True,
        ) from error
    import warnings

    try:
        with warnings.catch_warnings():
            # Each driver that cannot be had is warned of; what counts is that none can.
            warnings.simplefilter("ignore")
            return take(gpiozero)
    except gpiozero.GPIOPinInUse as error:
        raise NotThereError(f"{name}: another part of this program uses it") from error
    except gpiozero.PinInvalidPin as error:
        raise NotThereError(f"{name}: this board has no such pin", lasting=True) from error
    except gpiozero.BadPinFactory as error:
        raise NotThereError(
            f"{name}: no pins can be used here; is this a board with pins, is lgpio installed, and "
            "may you use them (group gpio)?",
            lasting=True,
        ) from error
    except (gpiozero.GPIOZeroError, OSError) as error:
        raise NotThereError(
            f"{name}: cannot be used now ({_short(error)}); is it wired as the settings say?"
        ) from error


def _short(error: Exception) -> str:
    return str(error).rstrip("!.").lower() or type(error).__name__
