"""Stand-ins for what is plugged in, with the verbs of a hand: press, release, unplug, plug in, jam.

A contract suite holds them against the real ones.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from showtime.triggers.attached import NotThereError
from showtime.triggers.keyboards import Found, Stroke
from showtime.triggers.signals import Contact, Edge, Gone, Heard, Micros, Told


class HandDevice:
    """A device without hardware, which tells what the hand does to it."""

    def __init__(
        self, name: str, heard: Heard, told: Told, micros: Micros, plugged_in: bool = True
    ) -> None:
        self.name = name
        self._heard = heard
        self._told = told
        self._micros = micros
        self._there = plugged_in
        self._live = False
        self._down = False
        self._trouble = ""

    @property
    def trouble(self) -> str:
        return self._trouble

    def start(self) -> None:
        self._live = True
        self._say("" if self._there else f"{self.name}: not there")

    def close(self) -> None:
        self._live = False

    def press(self) -> None:
        self._edge(True)

    def release(self) -> None:
        self._edge(False)

    def unplug(self) -> None:
        """Pulled out, asleep, or out of reach."""
        if self._there and self._live:
            self._heard(Gone(self._micros()))
            self._say(f"{self.name}: gone; the day goes on without it until it comes back")
        self._there = self._down = False

    def plug_in(self) -> None:
        self._there = True
        if self._live:
            self._say("")

    def _edge(self, closed: bool) -> None:
        if self._live and self._there and closed != self._down:
            self._down = closed
            self._heard(Edge(Contact.BUTTON, closed, self._micros()))

    def _say(self, trouble: str) -> None:
        before, self._trouble = self._trouble, trouble
        if trouble != before:
            self._told(trouble or f"{self.name}: there now")


class HandRemote:
    """A clicker in somebody's hand. It shows up as one keyboard for each of its `parts`."""

    def __init__(self, *parts: str, plugged_in: bool = True) -> None:
        self.parts = parts
        self.plugged_in = plugged_in
        self.jammed = False
        self.typed_elsewhere: list[str] = []
        self.grabbed: dict[str, _HandGrab] = {}
        self._held: set[str] = set()

    def press(self, key: str = "volumeup", part: int = 0) -> None:
        """The key goes down, and stays down."""
        self._held.add(key)
        self._stroke(Stroke(key, True), part)

    def release(self, key: str = "volumeup", part: int = 0) -> None:
        self._held.discard(key)
        self._stroke(Stroke(key, False), part)

    def unplug(self) -> None:
        """Pulled out, or its radio asleep; whatever is held is let go unseen."""
        self.plugged_in = False
        self._held.clear()
        for grab in list(self.grabbed.values()):
            grab.gone = True
            grab.ring()

    sleep = unplug

    def plug_in(self) -> None:
        self.plugged_in = True

    wake = plug_in

    def jam(self) -> None:
        """Another program takes it for itself."""
        self.jammed = True

    def unjam(self) -> None:
        self.jammed = False

    def _stroke(self, stroke: Stroke, part: int) -> None:
        if not self.plugged_in:
            return
        grab = self.grabbed.get(self.parts[part])
        if stroke.down and (grab is None or not grab.alone):
            self.typed_elsewhere.append(stroke.key)
        if grab is None:
            return
        grab.waiting.append(stroke)
        grab.ring()


@dataclass
class HandKeyboards:
    """The keyboards of a machine into which remotes are plugged."""

    remotes: list[HandRemote] = field(default_factory=list)

    def there(self) -> Sequence[Found]:
        return [
            Found(f"/dev/input/{number}-{part}", part)
            for number, remote in enumerate(self.remotes)
            if remote.plugged_in
            for part in remote.parts
        ]

    def grab(self, found: Found, *, alone: bool = True) -> _HandGrab:
        for remote in self.remotes:
            if found.name in remote.parts and remote.plugged_in:
                if remote.jammed or found.name in remote.grabbed:
                    raise NotThereError(f"{found.name}: another program has taken it; end that one")
                grab = _HandGrab(remote, found.name, alone)
                remote.grabbed[found.name] = grab
                return grab
        raise NotThereError(f"{found.name}: went away just now", absent=True)


class _HandGrab:
    def __init__(self, remote: HandRemote, part: str, alone: bool) -> None:
        self.alone = alone
        self._remote = remote
        self._part = part
        self.gone = False
        self.waiting: list[Stroke] = []
        self.file, self._bell = os.pipe()
        os.set_blocking(self.file, False)
        self._closing = threading.Lock()
        self._closed = False

    def ring(self) -> None:
        with self._closing:
            if not self._closed:
                os.write(self._bell, b".")

    def read(self) -> Sequence[Stroke]:
        with suppress(BlockingIOError):
            os.read(self.file, 4096)
        if self.gone:
            raise OSError("no such device")
        came, self.waiting = self.waiting, []
        return came

    def close(self) -> None:
        self._remote.grabbed.pop(self._part, None)
        with self._closing:
            self._closed = True
            os.close(self.file)
            os.close(self._bell)


class HandLine:
    """The far end of a serial line, over a pty, which the other end cannot tell from a real one.

    `path` may be handed on: it is a link that stays, while the line is pulled and plugged in again.
    """

    def __init__(self, path: str) -> None:
        self.path = path
        self._hand: int | None = None
        self.plug_in()

    def plug_in(self) -> None:
        import pty
        import tty

        self._hand, far = pty.openpty()
        tty.setraw(far)
        os.symlink(os.ttyname(far), self.path)
        # The far end is closed, so that pulling ours is felt by whoever has opened it.
        os.close(far)

    def send(self, *lines: str) -> None:
        """Whole lines, as a microcontroller sends them."""
        self.send_bytes("".join(f"{line}\r\n" for line in lines).encode("ascii"))

    def send_bytes(self, sent: bytes) -> None:
        if self._hand is not None:
            os.write(self._hand, sent)

    def press(self) -> None:
        self.send("down")

    def release(self) -> None:
        self.send("up")

    def jam(self) -> None:
        """What comes is as if read at a wrong rate."""
        self.send_bytes(bytes((0x80 + index * 37 % 128) for index in range(2000)))

    def unplug(self) -> None:
        os.unlink(self.path)
        if self._hand is not None:
            os.close(self._hand)
        self._hand = None

    close = unplug


class HandPin:
    """A contact between a mock pin and ground, as a push button with a pull-up has it."""

    def __init__(self, factory: Any, pin: int) -> None:
        self._pin = factory.pin(pin)

    def press(self) -> None:
        self._pin.drive_low()

    def release(self) -> None:
        self._pin.drive_high()
