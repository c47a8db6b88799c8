"""Whether all is ready before the fair opens: everything tried, a line each.

Owns what is tried and in what words it is told. Refuses to move anything, or to let anything sound
in a quiet interval; devices are handed in. Always holds: no check takes longer than it was given,
whatever hangs, and none ends in anything but lines.
"""

from showtime.live.readiness.check import Check, Line, State, look, mend, ok, tried
from showtime.live.readiness.controller import Wired, WiredUp
from showtime.live.readiness.desk import Readiness
from showtime.live.readiness.hall import HallLine
from showtime.live.readiness.hands import Hand

__all__ = [
    "Check",
    "HallLine",
    "Hand",
    "Line",
    "Readiness",
    "State",
    "Wired",
    "WiredUp",
    "look",
    "mend",
    "ok",
    "tried",
]
