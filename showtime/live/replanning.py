"""Whether the planner's better rest of the day is taken over. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from showtime.fair import Performance
from showtime.live import events as happened
from showtime.live.keeper.changes import rearranged
from showtime.live.keeper.mend import breaks, performances, performed, slots
from showtime.live.state import DayState


def taken_over(
    state: DayState, asked_of: DayState, coming: Sequence[Performance] | None, now: datetime
) -> tuple[happened.Event, ...]:
    """What it makes happen that `coming` was found for `asked_of`; nothing when there is nothing
    better, when the day has gone on, or when a promise or a rule would be broken meanwhile."""
    if coming is None or state.upcoming != asked_of.upcoming or slots(coming) == state.upcoming:
        return ()
    starts = {p.starts for p in performances(state.day, state.upcoming)}
    kept = starts.intersection(state.promised()) <= {p.starts for p in coming}
    day, played = state.to_plan, performed(state)
    sound = breaks(day, [*played, *coming]) <= breaks(day, played)
    return rearranged(state, now, coming, "") if kept and sound else ()
