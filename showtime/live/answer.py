"""DayState and an instant -> what is to be said, and how loudly. Pure."""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import StrEnum

from showtime.fair import Answers
from showtime.live.events import Slot
from showtime.live.state import CROWD, DayState, Outcome, Promise, Stage
from showtime.wording import Kind, Mood, Situation

SOON = timedelta(minutes=3)
"""A start this near is told as soon rather than by its time (common practice at a stall: a
visitor can wait that long without looking at a clock)."""

STILL_THERE = timedelta(minutes=10)
"""So long a visitor may wait for a performance that does not come (common practice)."""

OVERDUE = timedelta(seconds=5)
"""A start that has not come this long after its time is late, not soon."""


LATELY = timedelta(minutes=3)
"""Questions within this time are those of a crowd (common practice)."""


class Manner(StrEnum):
    """How an answer is given; silent is by words on the screen alone."""

    ALOUD = "aloud"
    SOFTLY = "softly"
    SILENT = "silent"


def answer(state: DayState, now: datetime) -> Situation:
    """What a thoughtful keeper would say at `now` to somebody who asks for the next performance."""
    kind, at, piece, why = _answer(state, now)
    return Situation(
        kind, now, state.day.signboard, at=at, piece=piece, why=why, moods=_moods(state, now)
    )


def call(state: DayState, slot: Slot, now: datetime) -> Situation:
    """What the figure says unasked at `now` to gather a crowd for `slot`."""
    return Situation(
        Kind.CALL,
        now,
        state.day.signboard,
        at=slot.starts,
        piece=slot.piece,
        moods=_moods(state, now),
    )


def _moods(state: DayState, now: datetime) -> frozenset[Mood]:
    crowd = len(state.asks) == CROWD and now - state.asks[0] < LATELY
    true = {
        Mood.EARLY: not state.played,
        Mood.BUSY: crowd or state.day.wishes.worth(now) > 1,
        Mood.LAST: len(state.upcoming) == (0 if state.playing else 1),
    }
    return frozenset(mood for mood, holds in true.items() if holds)


def _answer(state: DayState, now: datetime) -> tuple[Kind, datetime | None, str, str]:
    if state.doubt:
        return Kind.CLOCK_UNSET, None, "", state.doubt
    coming, playing = state.next, state.playing
    if playing is not None:
        return Kind.PLAYING, coming.starts if coming else None, playing.piece, ""
    if state.stage is Stage.HELD and state.upcoming:
        return Kind.LATE, None, "", ""
    if coming is None:
        return _nothing_left(state, now)
    if coming.starts < now - OVERDUE:
        return Kind.LATE, None, coming.piece, ""
    if _apologies_due(state, now):
        return Kind.CHANGED, coming.starts, coming.piece, _reason(state)
    if now < state.day.hours.start:
        return _another_day(state, coming.starts, now), coming.starts, coming.piece, ""
    soon = coming.starts - now <= SOON
    return Kind.SOON if soon else Kind.NEXT, coming.starts, coming.piece, ""


def _nothing_left(state: DayState, now: datetime) -> tuple[Kind, datetime | None, str, str]:
    if _apologies_due(state, now):
        return Kind.CALLED_OFF, None, "", _reason(state)
    if state.tomorrow is None:
        return Kind.NONE_LEFT, None, "", ""
    return _another_day(state, state.tomorrow, now), state.tomorrow, "", ""


def _another_day(state: DayState, start: datetime, now: datetime) -> Kind:
    """How to tell a start before which the fair is closed.

    Past midnight, on a day that closes after it, "tomorrow" may have come already.
    """
    later = state.day.local(start).date() > state.day.local(now).date()
    return Kind.TOMORROW if later else Kind.NOT_OPEN


def _apologies_due(state: DayState, now: datetime) -> bool:
    """True while a time that was told and then moved has not yet passed.

    A visitor who was told it may still come by: everyone who asks before then hears of the change.
    When nobody could be told before it, somebody still may soon after.
    """
    return any(
        p.outcome is Outcome.CHANGED and (p.told > now or is_owed(p, now)) for p in state.promises
    )


def is_owed(promise: Promise, now: datetime) -> bool:
    """True when an apology is still to be made, and somebody may be there to hear it."""
    return promise.is_unsaid and now - promise.told < STILL_THERE


def _reason(state: DayState) -> str:
    moved = [p for p in state.promises if p.outcome is Outcome.CHANGED]
    return moved[-1].why if moved else ""


def manner(state: DayState, now: datetime) -> Manner:
    """How loudly to answer: as the quiet interval or the piece that is on asks for."""
    quiet = state.day.quiet_at(now)
    if quiet is not None:
        return Manner(quiet.answers)
    if state.playing is not None:
        pieces = {piece.name: piece.answers for piece in state.day.pieces}
        return Manner(pieces.get(state.playing.piece, Answers.SOFTLY))
    return Manner.ALOUD


def may_call(state: DayState, now: datetime) -> bool:
    """True when the figure may raise its voice unasked: it does not play, nor hold, nor hush."""
    forbidden = any(quiet.forbidden.holds(now) for quiet in state.day.quiet)
    return state.stage is Stage.WAITING and not forbidden and not state.doubt
