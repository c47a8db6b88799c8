"""Events -> DayState. Never refuses, never raises, never looks at a clock."""

from __future__ import annotations

from bisect import insort
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from typing import Any

from showtime.live import events as happened
from showtime.live.state import (
    CALL,
    OF_ITSELF,
    REMEMBERED,
    TRANSITIONS,
    DayState,
    Outcome,
    Played,
    Promise,
)
from showtime.wording import Kind


class _Tally:
    """A DayState being added up: the same fields, open to change."""

    def __init__(self, state: DayState) -> None:
        self.begun_from = state
        self.stage = state.stage
        self.upcoming = list(state.upcoming)
        self.played = list(state.played)
        self.missed = list(state.missed)
        self.promises = {promise.told: promise for promise in state.promises}
        self.tomorrow = state.tomorrow
        self.not_before = state.not_before
        self.hold = state.hold
        self.doubt = state.doubt
        self.asked = state.asked
        self.said = deque(state.said, maxlen=REMEMBERED)
        self.last_answer = state.last_answer
        self.last_at = state.last_at

    def frozen(self) -> DayState:
        return replace(
            self.begun_from,
            stage=self.stage,
            upcoming=tuple(self.upcoming),
            played=tuple(self.played),
            missed=tuple(self.missed),
            promises=tuple(self.promises.values()),
            tomorrow=self.tomorrow,
            not_before=self.not_before,
            hold=self.hold,
            doubt=self.doubt,
            asked=self.asked,
            said=tuple(self.said),
            last_answer=self.last_answer,
            last_at=self.last_at,
        )

    def leave_out(self, slot: happened.Slot) -> None:
        if slot in self.upcoming:
            self.upcoming.remove(slot)

    def settle(self, told: datetime, **changes: Any) -> None:
        promise = self.promises.get(told)
        if promise is not None:
            self.promises[told] = replace(promise, **changes)


def fold(begun_from: DayState, events: Iterable[happened.Event]) -> DayState:
    """The state after `events`, from the state before them."""
    tally = _Tally(begun_from)
    transitions, handlers = TRANSITIONS, _HANDLERS
    for event in events:
        kind = type(event)
        tally.stage = transitions.get((tally.stage, kind), tally.stage)
        handlers[kind](tally, event)
        tally.last_at = event.at
    return tally.frozen()


def _day_began(tally: _Tally, event: happened.DayBegan) -> None:
    tally.upcoming = sorted(event.slots)
    tally.tomorrow = event.tomorrow


def _day_resumed(tally: _Tally, event: happened.DayResumed) -> None:
    tally.hold = "started again"
    _end_playing(tally, event.at, interrupted=True)


def _day_ended(tally: _Tally, event: happened.DayEnded) -> None:
    _end_playing(tally, event.at, interrupted=True)


def _clock_doubted(tally: _Tally, event: happened.ClockDoubted) -> None:
    tally.doubt = event.why


def _replanned(tally: _Tally, event: happened.Replanned) -> None:
    tally.upcoming = sorted(event.slots)


def _promise_moved(tally: _Tally, event: happened.PromiseMoved) -> None:
    tally.settle(event.told, outcome=Outcome.CHANGED, moved_to=event.to, why=event.why)


def _asked(tally: _Tally, event: happened.Asked) -> None:
    tally.asked += 1


def _answered(tally: _Tally, event: happened.Answered) -> None:
    if event.trigger not in (CALL, OF_ITSELF):
        tally.asked += 1
    tally.said.append(event.text)
    tally.last_answer = event
    if event.kind in (Kind.CHANGED, Kind.CALLED_OFF):
        _apologise(tally)
    if event.told is not None:
        _promise(tally, event.told, event)


def _apologise(tally: _Tally) -> None:
    for told, promise in tally.promises.items():
        if promise.outcome is Outcome.CHANGED:
            tally.settle(told, apologised=promise.apologised + 1)


def _promise(tally: _Tally, told: datetime, event: happened.Answered) -> None:
    known = tally.promises.get(told)
    if known is None:
        tally.promises[told] = Promise(told, event.at, event.at, 1, (event.trigger,))
        return
    triggers = known.triggers
    if event.trigger not in triggers:
        triggers = (*triggers, event.trigger)
    # A start that was moved away and is now told again is a promise again.
    outcome = Outcome.OPEN if known.outcome is Outcome.CHANGED else known.outcome
    tally.promises[told] = replace(
        known, last_said=event.at, times=known.times + 1, triggers=triggers, outcome=outcome
    )


def _started(tally: _Tally, event: happened.Started) -> None:
    tally.leave_out(event.slot)
    tally.played.append(Played(event.slot, event.at))
    within = tally.begun_from.keep_within
    for told, promise in tally.promises.items():
        if promise.outcome is not Outcome.OPEN:
            continue
        if abs(event.at - told) <= within:
            tally.settle(told, outcome=Outcome.KEPT)
        elif told == event.slot.starts:
            tally.settle(told, outcome=Outcome.BROKEN, why="started late")


def _end_playing(tally: _Tally, at: datetime, *, interrupted: bool) -> None:
    if tally.played and tally.played[-1].ended is None:
        tally.played[-1] = replace(tally.played[-1], ended=at, interrupted=interrupted)


def _finished(tally: _Tally, event: happened.Finished) -> None:
    _end_playing(tally, event.at, interrupted=False)


def _missed(tally: _Tally, event: happened.Missed) -> None:
    tally.leave_out(event.slot)
    insort(tally.missed, event.slot)
    promise = tally.promises.get(event.slot.starts)
    if promise is not None and promise.outcome is Outcome.OPEN:
        tally.settle(event.slot.starts, outcome=Outcome.BROKEN, why=event.why)


def _held(tally: _Tally, event: happened.Held) -> None:
    tally.hold = event.why
    _end_playing(tally, event.at, interrupted=True)


def _released(tally: _Tally, event: happened.Released) -> None:
    tally.hold = ""


def _delayed(tally: _Tally, event: happened.Delayed) -> None:
    tally.leave_out(event.slot)
    tally.not_before = event.until


def _skipped(tally: _Tally, event: happened.Skipped) -> None:
    tally.leave_out(event.slot)


_HANDLERS: dict[type[happened.Event], Callable[[_Tally, Any], None]] = {
    happened.DayBegan: _day_began,
    happened.DayResumed: _day_resumed,
    happened.DayEnded: _day_ended,
    happened.ClockDoubted: _clock_doubted,
    happened.Replanned: _replanned,
    happened.PromiseMoved: _promise_moved,
    happened.Asked: _asked,
    happened.Answered: _answered,
    happened.Started: _started,
    happened.Finished: _finished,
    happened.Missed: _missed,
    happened.Held: _held,
    happened.Released: _released,
    happened.Delayed: _delayed,
    happened.Skipped: _skipped,
}
