"""What people see: the keeper's screen, plain lines, the plan's timeline.

Owns every look. Refuses to decide anything: faces read the state and show it. Always holds: what
settings call something is shown as text, whatever characters are in it.
"""

from showtime.faces import (
    documents,
    hearing,
    packing,
    phrases,
    plain,
    recording,
    sounds,
    variety,
    wired,
)
from showtime.faces.lines import Lines
from showtime.faces.screen import Screen
from showtime.faces.sheet import show_plan

__all__ = [
    "Lines",
    "Screen",
    "documents",
    "hearing",
    "packing",
    "phrases",
    "plain",
    "recording",
    "show_plan",
    "sounds",
    "variety",
    "wired",
]
