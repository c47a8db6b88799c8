"""The live day as one strip: what was performed, where it stands now, what is to come."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from showtime.faces.strip import Marks, Strip, hour_figures, hour_ticks, lane
from showtime.fair import Performance
from showtime.live import DayState

if TYPE_CHECKING:
    from rich.text import Text

LINES = 3
_NARROWEST = 30
"""Columns below which a strip says nothing; it is then left out."""


def day_strip(state: DayState, now: datetime, width: int, marks: Marks) -> list[Text]:
    """Hours, a mark at the present, and the day's performances over its quiet times; at most
    `width` columns wide. What is over is faint."""
    from rich.text import Text

    if width < _NARROWEST:
        return []
    strip = Strip.of(state.day, width - 3)
    ticks = list(hour_ticks(strip, marks))
    here = strip.column(now)
    if 0 <= here < len(ticks):
        ticks[here] = marks.now
    drawn = Text(_performances(state, strip, marks), no_wrap=True)
    drawn.stylize("dim", 0, max(0, min(here, strip.columns)))
    drawn.stylize("bold", max(0, here))
    indent = " " * ((width - strip.columns) // 2)
    lines = [Text(hour_figures(strip), style="bold"), Text("".join(ticks), style="dim"), drawn]
    return [Text(indent).append_text(line) for line in lines]


def _performances(state: DayState, strip: Strip, marks: Marks) -> str:
    """All pieces in one lane: each is marked where it starts and as long as it sounds."""
    played = [(each.started, each.slot.piece) for each in state.played]
    slots = [*played, *((slot.starts, slot.piece) for slot in state.upcoming)]
    every = [Performance(starts, state.day.piece(piece)) for starts, piece in slots]
    lanes = [lane(strip, every, piece, marks) for piece in state.day.pieces]
    return "".join(_uppermost(column, marks) for column in zip(*lanes, strict=True))


def _uppermost(column: tuple[str, ...], marks: Marks) -> str:
    """Of what the pieces' lanes have at one column, what matters most."""
    order = (marks.several, marks.start, marks.sounding, marks.hush)
    return next((mark for mark in order if mark in column), " ")
