"""Something to press, dial, turn or walk past: is it there, and does anything come of it?"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from showtime.fair.wiring import Dial, Input, Knobs, Presence
from showtime.live.readiness.check import Line, Lines, look, mend, ok


class Seen(Protocol):
    """Something that a device sent, as `triggers` tells it."""

    @property
    def sent(self) -> str: ...
    @property
    def kind(self) -> str: ...


class Looking(Protocol):
    """Devices that are looked at while nothing is done to a stall."""

    def start(self) -> None: ...
    @property
    def troubles(self) -> tuple[str, ...]: ...
    def close(self) -> None: ...


Open = Callable[[Callable[[Seen], None]], Looking]

READINGS_WITHIN = 2.0
"""Seconds: knobs are read some 20 times in each."""

_HELD = "at the start"


@dataclass
class Hand:
    """A device called `name` with the inputs that come by it, which are tried together.

    `open` makes what listens to it, and is told who hears what is seen.
    """

    name: str
    wired: Sequence[Input]
    open: Open
    _heard: set[str] = field(default_factory=set)
    _held: str = ""
    _looking: Looking | None = None
    _read: threading.Event = field(default_factory=threading.Event)

    @property
    def line(self) -> str:
        """The name of its lines."""
        return f"input {self.name}"

    def judge(self) -> Lines:
        """Take it up: whether it is there. It is listened to until `close`."""
        self._looking = self.open(self._sees)
        self._looking.start()
        if self._looking.troubles:
            return [mend(self.line, self._without_name(self._looking.troubles[0]))]
        if self._has(Knobs) and not self._read.wait(READINGS_WITHIN):
            return [
                mend(self.line, "no readings come from the knobs", "see to wires and converter")
            ]
        if self._held:
            return [mend(self.line, _STUCK, "let go of it, or change 'active' in the settings")]
        return [ok(self.line, "there" + ("; the knobs read" if self._has(Knobs) else ""))]

    @property
    def asks_for(self) -> str:
        """What the keeper is to do; empty where nothing has to be done."""
        deeds = [_DEED[kind] for kind in self._wanted()]
        return f"{' and '.join(deeds)} {self.name}" if deeds else ""

    @property
    def tried(self) -> bool:
        """True once all that was to be done has come."""
        return self._heard >= set(self._wanted())

    def asked(self, *, skipped: bool) -> Line:
        """How it stands after the keeper was asked."""
        missing = [_MISSED[kind] for kind in self._wanted() if kind not in self._heard]
        if not missing:
            return ok(self.line, "heard")
        if skipped:
            return look(self.line, f"there; skipped: {', '.join(missing)}")
        return mend(
            self.line,
            f"there, but no {' and no '.join(missing)} came",
            "showtime inputs shows what comes",
        )

    def close(self) -> None:
        if self._looking is not None:
            self._looking.close()

    def _wanted(self) -> list[str]:
        kinds = [_kind(each) for each in self.wired]
        return [kind for kind in dict.fromkeys(kinds) if kind in _DEED]

    def _has(self, kind: type[Input]) -> bool:
        return any(isinstance(each, kind) for each in self.wired)

    def _sees(self, seen: Seen) -> None:
        if seen.kind == "knobs":
            self._read.set()
        elif seen.kind and seen.sent.endswith(_HELD):
            self._held = seen.kind if seen.kind == "button" else self._held
        elif seen.kind:
            self._heard.add(seen.kind)

    def _without_name(self, trouble: str) -> str:
        return trouble.removeprefix(f"{self.name}: ")


_STUCK = "the contact is closed though nobody presses it"
_DEED = {"button": "press", "dial": "turn", "presence": "step before"}
_MISSED = {"button": "press", "dial": "turn of the dial", "presence": "sight of you"}


def _kind(each: Input) -> str:
    if isinstance(each, Dial):
        return "dial"
    if isinstance(each, Knobs):
        return "knobs"
    return "presence" if isinstance(each, Presence) else "button"
