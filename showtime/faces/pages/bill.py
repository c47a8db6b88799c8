"""DayState and an instant -> what visitors see, in no language yet. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from showtime.live import DayState, Stage, answer
from showtime.wording import Kind


@dataclass(frozen=True, slots=True)
class Quiet:
    """Why nothing sounds now, and until when."""

    why: str
    until: datetime


@dataclass(frozen=True, slots=True)
class Bill:
    """What is on the board: the same that the figure would answer, and what is planned after it.

    `at` is the start that is told; None when none may be told. `ends` is when what plays should
    end. `later` are starts that may still change.
    """

    kind: Kind
    at: datetime | None
    piece: str
    playing: str
    ends: datetime | None
    quiet: Quiet | None
    later: tuple[tuple[datetime, str], ...]


def bill(state: DayState, now: datetime) -> Bill:
    """The board at `now`."""
    situation = answer(state, now)
    playing = state.playing
    coming = state.next
    ends = None
    if playing is not None:
        ends = state.played[-1].started + state.day.piece(playing.piece).lasts
    told = situation.at
    piece = coming.piece if coming is not None and told == coming.starts else ""
    later = (
        ()
        if told is None
        else tuple((s.starts, s.piece) for s in state.upcoming if s.starts > told)
    )
    return Bill(
        kind=situation.kind,
        at=told,
        piece=piece,
        playing=playing.piece if playing else "",
        ends=ends,
        quiet=_quiet(state, now),
        later=later,
    )


def _quiet(state: DayState, now: datetime) -> Quiet | None:
    """The quiet interval that is on, its margin included, while nothing plays."""
    if state.playing is not None or state.stage is Stage.ENDED:
        return None
    on = [quiet for quiet in state.day.quiet if quiet.forbidden.holds(now)]
    if not on:
        return None
    last = max(on, key=lambda quiet: quiet.forbidden.end)
    return Quiet(last.why, last.forbidden.end)
