"""The state of a day that goes by its plan, at any moment of it: for questions asked at home."""

from __future__ import annotations

from datetime import datetime, timedelta

from showtime.fair import Plan
from showtime.live import events as happened
from showtime.live.fold import fold
from showtime.live.keeper.mend import slots
from showtime.live.state import DayState


def as_planned(
    plan: Plan, now: datetime, *, keep_within: timedelta, tomorrow: datetime | None = None
) -> DayState:
    """The state at `now` of a day on which all went, and goes, as planned."""
    day = plan.day
    coming = slots(plan.performances)
    began: list[happened.Event] = [
        happened.DayBegan(
            at=min(now, day.hours.start),
            stall=day.signboard.stall,
            date=day.date,
            slots=coming,
            tomorrow=tomorrow,
        )
    ]
    for slot in coming:
        ends = slot.starts + day.piece(slot.piece).lasts
        if slot.starts <= now:
            began.append(happened.Started(at=slot.starts, slot=slot))
        if ends <= now:
            began.append(happened.Finished(at=ends, slot=slot))
    return fold(DayState(day, keep_within), began)
