"""How the day's own events change the state: begun, asked, played, promised."""

from __future__ import annotations

from bisect import insort
from dataclasses import replace
from datetime import datetime

from showtime.live import events as happened
from showtime.live.answer import is_owed
from showtime.live.state import BOARD, CALL, OF_ITSELF, Outcome, Played, Promise
from showtime.live.tally import Tally
from showtime.wording import Kind

YESTERDAY = "the day before"
"""The trigger of a promise that was given on the day before."""

_NO_PROMISE = (Kind.UNDERSTOOD, Kind.NOT_CAUGHT, Kind.REFUSED, Kind.CLOCK_SET, Kind.SURE)
"""What is told while the time is set on the figure: to the keeper, and only then agreed upon."""


def day_began(tally: Tally, event: happened.DayBegan) -> None:
    tally.upcoming = sorted(event.slots)
    tally.tomorrow = event.tomorrow
    for told in event.promised:
        if told not in tally.promises:
            tally.promises[told] = Promise(told, event.at, event.at, 1, (YESTERDAY,))


def day_resumed(tally: Tally, event: happened.DayResumed) -> None:
    tally.hold = "started again"
    tally.failing = None  # it is asked anew
    lost = event.interrupted
    if lost is not None and all(played.slot != lost for played in tally.played):
        # A part of the journal is missing, and in it that start: it was made all the same.
        tally.leave_out(lost)
        tally.played.append(Played(lost, lost.starts))
    tally.end_playing(event.at, interrupted=True)
    if tally.set_by:
        tally.nothing_to_undo()  # the clock that was set went with the program


def day_ended(tally: Tally, event: happened.DayEnded) -> None:
    tally.end_playing(event.at, interrupted=True)


def clock_doubted(tally: Tally, event: happened.ClockDoubted) -> None:
    tally.doubt = event.why


def clock_trusted(tally: Tally, event: happened.ClockTrusted) -> None:
    tally.doubt = ""


def replanned(tally: Tally, event: happened.Replanned) -> None:
    tally.upcoming = sorted(event.slots)
    tally.wanted = [slot for slot in tally.wanted if slot in tally.upcoming]
    again = [slot for slot in tally.missed if slot in tally.upcoming]
    for slot in again:
        tally.missed.remove(slot)
        promise = tally.promises.get(slot.starts)
        if promise is not None and promise.outcome is Outcome.BROKEN:
            tally.settle(slot.starts, outcome=Outcome.OPEN, why="")


def promise_moved(tally: Tally, event: happened.PromiseMoved) -> None:
    tally.settle(event.told, outcome=Outcome.CHANGED, moved_to=event.to, why=event.why)


def asked(tally: Tally, event: happened.Asked) -> None:
    tally.was_asked(event.at)


def answered(tally: Tally, event: happened.Answered) -> None:
    if event.trigger == BOARD:
        if event.told is not None:
            _promise(tally, event.told, event)
        return
    if event.trigger not in (CALL, OF_ITSELF) and event.kind not in (Kind.AGREED, *_NO_PROMISE):
        tally.was_asked(event.at)
    tally.said.extend(each.text for each in event.every)
    tally.last_answer = event
    if event.kind in (Kind.CHANGED, Kind.CALLED_OFF):
        for told, promise in tally.promises.items():
            if promise.outcome is Outcome.CHANGED and (
                told > event.at or is_owed(promise, event.at)
            ):
                tally.settle(told, apologised=promise.apologised + 1)
    if event.kind is Kind.AGREED:
        tally.refused = None
    if event.told is not None and event.kind not in _NO_PROMISE:
        _promise(tally, event.told, event)


def _promise(tally: Tally, told: datetime, event: happened.Answered) -> None:
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


def started(tally: Tally, event: happened.Started) -> None:
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


def finished(tally: Tally, event: happened.Finished) -> None:
    tally.end_playing(event.at, interrupted=False, overran=event.overran)


def figure_failed(tally: Tally, event: happened.FigureFailed) -> None:
    tally.failing = event


def figure_well(tally: Tally, event: happened.FigureWell) -> None:
    tally.failing = None


def measured(tally: Tally, event: happened.Measured) -> None:
    tally.measured = event


def missed(tally: Tally, event: happened.Missed) -> None:
    tally.leave_out(event.slot)
    insort(tally.missed, event.slot)
    promise = tally.promises.get(event.slot.starts)
    if promise is not None and promise.outcome is Outcome.OPEN:
        tally.settle(event.slot.starts, outcome=Outcome.BROKEN, why=event.why)
