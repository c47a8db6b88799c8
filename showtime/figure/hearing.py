"""What the controller's words mean. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from showtime.figure.exchange import Words
from showtime.figure.wire import Line, as_text
from showtime.live.reports import Readings

LOST = "something is wrong with me"
"""What visitors are told when the figure could not be heard, or did not begin."""


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault in the keeper's words, and the excuse that visitors are given."""

    why: str
    excuse: str


_FAULTS = {
    "hot": Fault("the figure is too hot: let it cool", "I am too hot"),
    "jammed": Fault(
        "the figure is jammed: switch it off before you reach in", "something is stuck in me"
    ),
    "battery": Fault("the figure's battery is low: change or charge it", "my battery is low"),
}
"""The faults with a name of their own; any other comes with its words."""


def fault_of(words: Words) -> Fault:
    """The fault that these words name: its kind, and perhaps more about it."""
    kind, about = as_text(words[0]) if words else "a fault", as_text(words[1]) if words[1:] else ""
    known = _FAULTS.get(kind, Fault(f"the figure reports: {about or kind}", LOST))
    return replace(known, why=f"{known.why} ({about})") if about and kind in _FAULTS else known


_NUMBER = re.compile(r"-?\d{1,4}(\.\d{1,3})?", re.ASCII)
_BELIEVED = {"celsius": (-40.0, 200.0), "amperes": (0.0, 200.0), "battery": (0.0, 100.0)}
"""What a sensor may truly measure; what is beyond comes from a broken wire."""


@dataclass(frozen=True, slots=True)
class Hello:
    """The controller's answer to a greeting: the fault that it has, if any."""

    greeting: int
    fault: str


def hello_of(line: Line) -> Hello | None:
    """The answer to a greeting that this line is, if it is one."""
    if line.verb != "ready" or len(line.words) < 4 or not line.bond or not line.number:
        return None
    _, version, greeting, state, *_ = line.words
    if version != "1" or not greeting.isdecimal():
        return None
    return Hello(int(greeting), "" if state == "well" else state)


def readings_of(words: Words) -> list[Readings]:
    """What was measured; empty when nothing of it can be believed."""
    found: dict[str, float] = {}
    for name, value in zip(words[::2], words[1::2], strict=False):
        if name in _BELIEVED and _NUMBER.fullmatch(value):
            least, most = _BELIEVED[name]
            if least <= float(value) <= most:
                found[name] = float(value)
    return [Readings(**found)] if found else []
