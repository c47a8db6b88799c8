"""Events -> DayState. Never refuses, never raises, never looks at a clock."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from showtime.live import deeds, hallkeeping, keeping
from showtime.live import events as happened
from showtime.live.state import TRANSITIONS, DayState
from showtime.live.tally import Tally


def fold(begun_from: DayState, events: Iterable[happened.Event]) -> DayState:
    """The state after `events`, from the state before them."""
    tally = Tally(begun_from)
    transitions, handlers = TRANSITIONS, _HANDLERS
    for event in events:
        kind = type(event)
        handlers[kind](tally, event)
        tally.stage = transitions.get((tally.stage, kind), tally.stage)
        tally.last_at = event.at
    return tally.frozen()


_HANDLERS: dict[type[happened.Event], Callable[[Tally, Any], None]] = {
    happened.DayBegan: keeping.day_began,
    happened.DayResumed: keeping.day_resumed,
    happened.DayEnded: keeping.day_ended,
    happened.ClockDoubted: keeping.clock_doubted,
    happened.ClockTrusted: keeping.clock_trusted,
    happened.Replanned: keeping.replanned,
    happened.PromiseMoved: keeping.promise_moved,
    happened.Asked: keeping.asked,
    happened.Answered: keeping.answered,
    happened.Started: keeping.started,
    happened.Finished: keeping.finished,
    happened.Missed: keeping.missed,
    happened.ActionTaken: deeds.action_taken,
    happened.Held: deeds.held,
    happened.Released: deeds.released,
    happened.Delayed: deeds.delayed,
    happened.CalledOff: deeds.called_off,
    happened.Added: deeds.added,
    happened.TimeSet: deeds.time_set,
    happened.TimeRefused: deeds.time_refused,
    happened.QuietAdded: deeds.quiet_added,
    happened.Stopped: deeds.stopped,
    happened.ClosedEarly: deeds.closed_early,
    happened.PieceChosen: deeds.piece_chosen,
    happened.Undone: deeds.undone,
    happened.FigureFailed: keeping.figure_failed,
    happened.FigureWell: keeping.figure_well,
    happened.Measured: keeping.measured,
    happened.HallPlanned: hallkeeping.hall_planned,
    happened.OthersPlay: hallkeeping.others_play,
    happened.HallHushed: hallkeeping.hall_hushed,
    happened.HushLifted: hallkeeping.hush_lifted,
    happened.HallCapped: hallkeeping.hall_capped,
    happened.GaveWay: hallkeeping.gave_way,
}
