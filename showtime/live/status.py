"""The day in a line, for the keeper. Pure."""

from __future__ import annotations

from datetime import datetime, timedelta

from showtime.live.state import DayState


def status(state: DayState, now: datetime) -> str:
    """The day in a line: the time, the stage, what comes next."""
    if state.doubt:
        return f"The time is not known: {state.doubt}. Set it: showtime tell clock 14:05"
    coming = state.next
    told = f"next {state.day.local(coming.starts):%H:%M} {coming.piece}" if coming else "none left"
    held = f" ({state.hold})" if state.hold else ""
    minutes = (coming.starts - now) // timedelta(minutes=1) if coming else 0
    soon = f" in {minutes} min" if coming and minutes >= 0 else ""
    return f"{state.day.local(now):%H:%M:%S} {state.stage}{held}, {told}{soon}"
