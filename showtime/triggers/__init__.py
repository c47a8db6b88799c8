"""The outside world -> "asked", an order, or a time that is set: whatever is pressed or turned.

Owns every device: keys of a terminal, clickers, pins, serial lines, dials, knobs, sensors. Refuses
nothing: it only tells what happened, and the running day decides what it means. Always holds: a
device that is missing or pulled out never stops the day, and is taken up when it comes; what was
changed on a device is put back at the end; a dialled time is right, or in doubt, never another one.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from showtime.triggers.keys import Keys

if TYPE_CHECKING:
    from showtime.triggers.host import Host
    from showtime.triggers.inputs import Board, Inputs
    from showtime.triggers.looking import Looking, Seen
    from showtime.triggers.plugged import plugged_in

_ROOMS_OWN = {
    "Board": "inputs",
    "Host": "host",
    "Inputs": "inputs",
    "Looking": "looking",
    "Seen": "looking",
    "plugged_in": "plugged",
}
"""What is imported only when asked for: a stall with nothing wired up pays nothing for it."""

__all__ = ["Board", "Host", "Inputs", "Keys", "Looking", "Seen", "plugged_in"]


def __getattr__(name: str) -> object:
    if name not in _ROOMS_OWN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_ROOMS_OWN[name]}"), name)
