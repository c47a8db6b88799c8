"""DayState and an instant -> what the keeper's remote shows. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Day, Performance, ShowtimeError, Span
from showtime.live import DayState, Promise, Stage
from showtime.planning import Headroom, headroom

_SECOND = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class Action:
    """A button: the order behind it, and what it would change."""

    label: str
    words: str
    would: str


@dataclass(frozen=True, slots=True)
class Bar:
    """A cap: how much of it is used now, and how much at most by the end of the day, in percent."""

    rule: str
    used: int
    most: int
    shown: str
    shown_most: str


Would = Callable[[Sequence[str]], str]

_ORDERS = (
    ("Play now", "play"),
    ("5 minutes late", "late 5"),
    ("10 minutes late", "late 10"),
    ("Leave the next one out", "skip"),
    ("Quiet for 10 minutes", "quiet 10"),
)


def actions(state: DayState, would: Would) -> tuple[Action, ...]:
    """The buttons that make sense now, Hold left out: that one is always there."""
    found = [("Go on", "release")] if state.stage is Stage.HELD else []
    if state.stage in (Stage.WAITING, Stage.PLAYING):
        found += [each for each in _ORDERS if each[1] != "play" or state.stage is Stage.WAITING]
    if state.refused is not None and state.refused.offer is not None:
        found.append(("Take the time offered", "accept"))
    if state.undo is not None:
        found.append((f"Take back: {state.action}", "undo"))
    return tuple(Action(label, words, _told(would, words)) for label, words in found)


def _told(would: Would, words: str) -> str:
    try:
        return would(words.split())
    except ShowtimeError as error:
        return str(error)


def bars(state: DayState, now: datetime) -> tuple[Bar, ...]:
    """Heat, battery and every other cap of the day."""
    day = state.to_plan
    going = [*_performed(state), *_coming(day, state)]
    return tuple(_bar(each, now) for each in headroom(day, going))


def _performed(state: DayState) -> list[Performance]:
    return [Performance(p.started, state.day.piece(p.slot.piece)) for p in state.played]


def _coming(day: Day, state: DayState) -> list[Performance]:
    return [Performance(slot.starts, day.piece(slot.piece)) for slot in state.upcoming]


def _bar(room: Headroom, now: datetime) -> Bar:
    level = room.highest_in(Span(now, now + _SECOND))
    budget = room.budget
    return Bar(
        rule=budget.why,
        used=_percent(room.share(level)),
        most=_percent(room.used),
        shown=budget.shown(level),
        shown_most=budget.shown(room.worst),
    )


def _percent(share: float) -> int:
    return round(100 * min(max(share, 0.0), 1.0))


def told(day: Day, promise: Promise) -> str:
    """What became of a promise, in words."""
    if promise.outcome.value == "changed":
        to = f"to {day.local(promise.moved_to):%H:%M}" if promise.moved_to else "called off"
        sorry = "" if promise.apologised else ", nobody told yet"
        return f"moved {to}{sorry}"
    return promise.outcome.value
