"""What a stall tells its organiser of its day: a status made of the day's state."""

from __future__ import annotations

from datetime import datetime, timedelta

from showtime.fair import Day, Performance, Span
from showtime.fairnet.stallpapers import Status
from showtime.fairnet.view import CapUsed, PlanVersion, Sounds
from showtime.live.slot import Slot
from showtime.live.state import DayState
from showtime.planning import headroom

_NOW = timedelta(seconds=1)


def status_of(
    word: str,
    day: Day,
    state: DayState | None,
    at: datetime,
    follows: PlanVersion | None,
    trouble: str,
    heeds: tuple[str, ...] = (),
) -> Status:
    """How the stall is at `at`; without a state its day has not begun."""
    name, trouble = day.signboard.stall, _line(trouble)
    if state is None:
        return Status(word, at, name, "", follows=follows, trouble=trouble, heeds=heeds)
    playing = state.playing
    began = state.played[-1].started if playing else at
    return Status(
        word,
        at,
        name,
        state.stage.value,
        _sounds(state.day, playing, began) if playing else None,
        _sounds(state.day, state.next, state.next.starts) if state.next else None,
        state.promised(),
        follows,
        caps_used(state, at),
        _line(state.trouble or trouble),
        heeds,
    )


def _sounds(day: Day, slot: Slot, begins: datetime) -> Sounds:
    return Sounds(slot.piece, Span(begins, begins + day.piece(slot.piece).lasts))


def caps_used(state: DayState, at: datetime) -> tuple[CapUsed, ...]:
    """The level of every cap of the day now, by what was played so far."""
    day = state.day
    played = [
        Performance(each.started, day.piece(each.slot.piece))
        for each in state.played
        if each.started <= at
    ]
    used = []
    for room in headroom(day, played):
        level = room.highest_in(Span(at, at + _NOW))
        budget = room.budget
        used.append(CapUsed(_line(budget.why), level, budget.limit, _line(budget.shown(level))))
    return tuple(used)


def _line(text: str, longest: int = 200) -> str:
    """The text as one printable line."""
    return "".join(letter if letter.isprintable() else " " for letter in text)[:longest]
