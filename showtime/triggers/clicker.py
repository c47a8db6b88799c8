"""A pocket clicker or camera remote: every keyboard whose name has a part in common with it.

It is grabbed, so that it types nowhere else. One remote often shows up as several keyboards, which
come and go with its sleep.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from showtime.fair.wiring import Clicker
from showtime.triggers.attached import NotThereError, Opening
from showtime.triggers.keyboards import Found, Grabbed, Keyboards
from showtime.triggers.signals import Contact, Edge, Micros, Signal

LOOK_AGAIN = 1.0
"""Seconds until more keyboards of the same remote are looked for."""


def clicker(
    wanted: Clicker, keyboards: Keyboards, micros: Micros, *, alone: bool = True
) -> Opening:
    """What takes up a clicker: for ourselves alone, or to listen to what it types elsewhere."""
    return lambda: _Held(wanted, keyboards, micros, alone)


def matching(name: str, there: Iterable[Found]) -> list[Found]:
    """The keyboards whose names hold `name`, whatever the case."""
    return [found for found in there if name.lower() in found.name.lower()]


class _Held:
    """All keyboards of one remote, grabbed. One that goes takes the others with it: they are then
    taken up anew, together."""

    every = LOOK_AGAIN
    doubt = ""

    def __init__(self, wanted: Clicker, keyboards: Keyboards, micros: Micros, alone: bool) -> None:
        self._alone = alone
        self._wanted = wanted
        self._keyboards = keyboards
        self._micros = micros
        self._grabbed: dict[str, Grabbed] = {}
        self._down: set[str] = set()
        there = keyboards.there()
        found = matching(wanted.name, there)
        if not found:
            raise NotThereError(
                f"{wanted.name}: no such clicker is there; switch it on, or see what is: "
                "showtime inputs",
                absent=True,
            )
        try:
            for each in found:
                self._grabbed[each.path] = keyboards.grab(each, alone=alone)
        except NotThereError:
            self.close()
            raise

    @property
    def files(self) -> Sequence[int]:
        return [each.file for each in self._grabbed.values()]

    def read(self) -> Iterator[Signal]:
        idle = True
        for path, grabbed in list(self._grabbed.items()):
            for stroke in grabbed.read():
                idle = False
                yield from self._stroke(path, stroke.key, stroke.down)
        if idle:
            self._look_again()

    def close(self) -> None:
        for grabbed in self._grabbed.values():
            grabbed.close()
        self._grabbed.clear()

    def _stroke(self, path: str, key: str, down: bool) -> Iterator[Signal]:
        """A key that was down before it was listened to, and is let go, was never pressed."""
        held = f"{path} {key}"
        if down == (held in self._down):
            return
        (self._down.add if down else self._down.discard)(held)
        yield Edge(Contact.BUTTON, down, self._micros(), key)

    def _look_again(self) -> None:
        for found in matching(self._wanted.name, self._keyboards.there()):
            if found.path not in self._grabbed:
                try:
                    self._grabbed[found.path] = self._keyboards.grab(found, alone=self._alone)
                except NotThereError:
                    return  # just coming or going; it is looked for again soon
