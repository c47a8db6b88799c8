"""What the figure says of itself -> what happened. Pure."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from math import ceil

from showtime.live import events as happened
from showtime.live.fold import fold
from showtime.live.keeper.actions import put_right
from showtime.live.reports import Began, Ended, Failed, Readings, Report, Well
from showtime.live.state import DayState, Outcome, Stage
from showtime.live.warm import TOO_WARM, expected, heat_of

Events = tuple[happened.Event, ...]

_MATTERS_K = 1.0
"""By so much a measured rise has to differ from the expected one before it is put down."""

_ANYWAY = timedelta(minutes=5)
"""After so long what is measured is put down anyway."""

_MATTERS = 0.1
"""By this share of itself a current has to change before it is put down."""


def heard(state: DayState, now: datetime, report: Report) -> Events:
    """What happened, when the figure reports this at `now`; nothing when it changes nothing."""
    match report:
        case Began():
            return ()
        case Ended(piece):
            return _ended(state, now, piece)
        case Failed():
            return _failed(state, now, report)
        case Well():
            return (happened.FigureWell(at=now),) if state.failing else ()
        case Readings():
            return _measured(state, now, report)


def _ended(state: DayState, now: datetime, piece: str) -> Events:
    slot = state.playing
    if slot is None or slot.piece != piece:
        return ()
    over = now - state.played[-1].started - state.day.piece(piece).lasts
    finished = happened.Finished(at=now, slot=slot, overran=max(ceil(over.total_seconds()), 0))
    return (finished,)


def _failed(state: DayState, now: datetime, report: Failed) -> Events:
    """The day is held, if it is running. A start that was not made is taken back."""
    failed = happened.FigureFailed(at=now, why=report.why, lasting=report.lasting)
    if state.stage is Stage.HELD:
        worse = state.failing is None or not state.failing.lasting or report.lasting
        return (failed,) if worse and state.failing != failed else ()
    if state.stage not in (Stage.WAITING, Stage.PLAYING):
        return ()
    back = () if report.begun else _not_made(state, now, report.excuse)
    return (failed, *back, happened.Held(at=now, why=report.excuse))


def _not_made(state: DayState, now: datetime, why: str) -> Events:
    """The promises that were to be kept by what was to play now, each with the next start."""
    if state.playing is None:
        return ()
    started = state.played[-1].started
    to = next((slot.starts for slot in state.upcoming if slot.starts > now), None)
    return tuple(
        happened.PromiseMoved(at=now, told=promise.told, to=to, why=why)
        for promise in state.promises
        if promise.outcome in (Outcome.KEPT, Outcome.OPEN)
        and abs(promise.told - started) <= state.keep_within
    )


def _measured(state: DayState, now: datetime, readings: Readings) -> Events:
    """What was measured, if it tells more than was known, and the rest of the day put right."""
    heat, before = heat_of(state.day), state.measured
    if state.stage in (Stage.UNBEGUN, Stage.ENDED) or now < state.day.hours.start:
        return ()
    rise, news = None, before is None or now - before.at >= _ANYWAY
    if heat is not None:
        reckoned = expected(state.day, heat, before, state.played, now)
        if readings.celsius is not None:
            rise = readings.celsius - heat.ambient_c
            news = news or abs(rise - reckoned) >= _MATTERS_K
        elif readings.amperes is not None:
            rise = reckoned
            last = before.milliamperes if before else None
            news = news or last is None or _changed(last / 1000, readings.amperes)
    if not news:
        return ()
    measured = happened.Measured(
        at=now,
        rise_mk=_thousandths(rise),
        milliamperes=_thousandths(readings.amperes),
        percent=None if readings.battery is None else round(readings.battery),
    )
    return (measured, *put_right(fold(state, [measured]), now, TOO_WARM))


def wants_plan(before: DayState, events: Events) -> bool:
    """True when the rest of the day should be planned anew: starts had to give way, or the motors
    are not as warm as they should be by what was known."""
    heat = heat_of(before.day)
    if any(isinstance(event, happened.Replanned) for event in events):
        return True
    known = replace(before.measured, milliamperes=None) if before.measured else None
    return heat is not None and any(
        isinstance(event, happened.Measured)
        and event.rise_mk is not None
        and abs(event.rise_mk / 1000 - expected(before.day, heat, known, before.played, event.at))
        >= _MATTERS_K
        for event in events
    )


def _changed(before: float, now: float) -> bool:
    return abs(now - before) > _MATTERS * max(abs(before), 0.1)


def _thousandths(value: float | None) -> int | None:
    return None if value is None else round(value * 1000)
