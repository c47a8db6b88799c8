"""What a day at the fair is: pieces, quiet intervals, budgets, wishes, plan.

Owns the words that every other room speaks in. Refuses nonsense: a span ends after it starts, an
instant knows its zone, a day has pieces with names of their own. Always holds: every value is
frozen, every instant is in UTC, no file is read, no clock looked at, no library's type let in.
What only a whole fair needs is in `hall`, which a single stall does not import.
"""

from showtime.fair import budgets, wiring, wishes
from showtime.fair.controller import Controller
from showtime.fair.day import Day, Plan, QuietInterval, Signboard, Stall
from showtime.fair.errors import ShowtimeError
from showtime.fair.piece import Answers, Performance, Piece
from showtime.fair.span import Span, Where, instant
from showtime.fair.speaking import Channels, Chime, Manner, Speaking

__all__ = [
    "Answers",
    "Channels",
    "Chime",
    "Controller",
    "Day",
    "Manner",
    "Performance",
    "Piece",
    "Plan",
    "QuietInterval",
    "ShowtimeError",
    "Signboard",
    "Span",
    "Speaking",
    "Stall",
    "Where",
    "budgets",
    "instant",
    "wiring",
    "wishes",
]
