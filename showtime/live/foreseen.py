"""What may have to be said in the next half hour, so that its words can wait, rendered. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from showtime.live import events as happened
from showtime.live.answer import answer, call
from showtime.live.fold import fold
from showtime.live.state import DayState, Stage
from showtime.live.timetable import Deed, timetable
from showtime.wording import Situation

AHEAD = timedelta(minutes=30)


def foreseen(state: DayState, now: datetime, ahead: timedelta = AHEAD) -> tuple[Situation, ...]:
    """Everything that the figure says until then if the day goes as planned, the soonest first;
    and, next after the present, what it says while it is held."""
    until = now + ahead
    held = answer(fold(state, [happened.Held(at=now, why="")]), now)
    later = sorted(_as_planned(state, now, until), key=lambda situation: situation.now)
    return (answer(state, now), held, *later)


def _as_planned(state: DayState, now: datetime, until: datetime) -> Iterator[Situation]:
    """The answers at every moment after which another one is right, and the calls."""
    if state.stage in (Stage.HELD, Stage.ENDED):
        return
    dues = [due for due in timetable(state, now) if now < due.at <= until]
    moments = {due.at for due in dues if due.deed is Deed.NEW_WORDS}
    turns = sorted(_turns(state, now, until), key=lambda event: event.at)
    for moment in sorted(moments | {event.at for event in turns}):
        while turns and turns[0].at <= moment:
            state = fold(state, [turns.pop(0)])
        yield answer(state, moment)
    for due in dues:
        if due.deed is Deed.CALL and due.slot is not None:
            yield call(state, due.slot, due.at)


def _turns(state: DayState, now: datetime, until: datetime) -> Iterator[happened.Event]:
    """The starts and finishes of the plan in that time."""
    if state.playing is not None:
        ends = state.played[-1].started + state.day.piece(state.playing.piece).lasts
        yield happened.Finished(at=max(ends, now), slot=state.playing)
    for slot in state.upcoming:
        if slot.starts > until:
            break
        starts = max(slot.starts, now)
        yield happened.Started(at=starts, slot=slot)
        yield happened.Finished(at=starts + state.day.piece(slot.piece).lasts, slot=slot)
