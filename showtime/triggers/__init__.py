"""The outside world -> "asked": for now the keys of a terminal.

Owns every device that somebody presses or turns. Refuses nothing: it only tells what happened, and
the running day decides what it means. Always holds: a device that is missing or pulled out never
stops the day, and what was changed on a device is put back at the end.
"""

from showtime.triggers.keys import Keys

__all__ = ["Keys"]
