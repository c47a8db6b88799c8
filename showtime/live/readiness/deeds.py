"""What the buttons of the settings are to do: orders that mean nothing would do nothing."""

from __future__ import annotations

from showtime.fair import Day, Stall
from showtime.fair.wiring import Button
from showtime.live.asked import QuestionError
from showtime.live.keeper.orders import ORDERS, outcome
from showtime.live.readiness.check import Lines, mend
from showtime.live.state import DayState


def deeds(stall: Stall, day: Day) -> Lines:
    """A line for each order of a button that means nothing; nothing is done to a day."""
    lines = []
    state = DayState(day, stall.keep_within)
    for each in stall.inputs:
        if not isinstance(each, Button):
            continue
        for deed in each.deeds.every:
            if deed[0] not in ORDERS:
                continue  # to ask, or to set a time: these need no more words
            try:
                outcome(state, day.hours.start, deed)
            except QuestionError as error:
                place = f"{each.where}: " if each.where else ""
                lines.append(mend("inputs", f"{place}'{' '.join(deed)}' means nothing", str(error)))
    return lines
