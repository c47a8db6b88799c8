"""Whether a start that is due may still come, and when."""

from __future__ import annotations

from datetime import datetime, timedelta

from showtime.fair import Performance
from showtime.live import events as happened
from showtime.live.keeper.changes import taken_back
from showtime.live.keeper.mend import breaks, performed
from showtime.live.state import DayState

_SECOND = timedelta(seconds=1)


def startable(state: DayState, slot: happened.Slot, now: datetime) -> bool:
    """True when a start that is due may still come now: a promise kept, and no rule broken.

    The start grid is for planning; a start a few seconds off it harms nobody. By those seconds it
    may reach into a neighbour's time: whose leave is asked at the start, and who can wait as well.
    """
    if slot.starts + state.keep_within < now:
        return False
    played, day = performed(state), state.by_its_own
    late = Performance(now, state.day.piece(slot.piece))
    new = breaks(day, [*played, late]) - breaks(day, played)
    return all(rule == "grid" for rule, _ in new)


def has_overrun(state: DayState) -> bool:
    """True when a piece took longer than it should: what follows it is then judged again."""
    return any(played.overran > _SECOND for played in state.played)


def soonest(state: DayState, slot: happened.Slot, now: datetime) -> datetime | None:
    """The first moment after `now` at which this start breaks no rule and still keeps its promise;
    None when there is none."""
    moment = now + _SECOND
    while moment <= slot.starts + state.keep_within:
        if startable(state, slot, moment):
            return moment
        moment += _SECOND
    return None


def given_up(state: DayState, slot: happened.Slot, now: datetime) -> tuple[happened.Event, ...]:
    """The start is too late for the rules; a promise of it is taken back."""
    missed = happened.Missed(at=now, slot=slot, why="too late for the rules")
    return (*taken_back(state, now, [slot], "I was late"), missed)
