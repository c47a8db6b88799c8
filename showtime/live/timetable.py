"""What is to be done at which instant, as the state stands. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from showtime.live.answer import SOON
from showtime.live.events import Slot
from showtime.live.state import DayState

_MINUTE = timedelta(minutes=1)
_JUST = timedelta(milliseconds=1)

_NEW_WORDS = (
    SOON,
    *(minute * _MINUTE + _MINUTE / 2 - _JUST for minute in range(1, SOON // _MINUTE)),
    _MINUTE - _JUST,
    timedelta(0),
)
"""Before a start, when other words are right: minutes are told to the nearest."""


class Deed(StrEnum):
    """What an alarm is for."""

    START = "start"
    CALL = "call"
    NEW_WORDS = "new words"
    """The words of the next answer change with this minute."""
    HUSH = "hush"
    """The organiser wants quiet from now on."""
    HUSH_OVER = "hush over"
    """What could not be said in a quiet interval may be said now."""


@dataclass(frozen=True, slots=True)
class Due:
    """A deed at an instant; `slot` is the performance that it is for."""

    deed: Deed
    at: datetime
    slot: Slot | None = None


def timetable(state: DayState, now: datetime) -> frozenset[Due]:
    """Everything that is due from `now` on. A start that has just passed is due at once."""
    hushes = (Due(Deed.HUSH_OVER, quiet.forbidden.end) for quiet in state.day.quiet)
    called = (Due(Deed.HUSH, hush.start) for _, hush in state.hall.called)
    turns = [state.day.hours.start, *(promise.told for promise in state.promises)]
    words = (Due(Deed.NEW_WORDS, turn) for turn in turns)
    later = {due for due in (*_around_starts(state), *called, *hushes, *words) if due.at > now}
    return frozenset(later | {Due(Deed.START, slot.starts, slot) for slot in state.upcoming})


def _around_starts(state: DayState) -> Iterator[Due]:
    for slot in state.upcoming:
        for before in state.day.calls:
            yield Due(Deed.CALL, slot.starts - before, slot)
        for before in _NEW_WORDS:
            yield Due(Deed.NEW_WORDS, slot.starts - before)
