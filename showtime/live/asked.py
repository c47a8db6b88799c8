"""What a command asks about, found from what was typed: which day, which moment, which piece."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from showtime.fair import Day, Piece, ShowtimeError, Stall, instant

_EARLIEST, _LATEST = 1980, 2200
"""Years within which a moment can be meant; far ones would overflow when they are reckoned with."""


_SET_UP = timedelta(hours=36)
"""So long before it opens a day may already be run: the stall is being set up."""


class QuestionError(ShowtimeError):
    """A question that cannot be answered as it was put; the message says how to put it."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A day and a moment of it (UTC). `pretended` is True when it is not the moment that it is."""

    day: Day
    now: datetime
    pretended: bool = False


def day_of(stall: Stall, wanted: str, now: datetime) -> Day:
    """The day written as YYYY-MM-DD; else today, if it is a fair day; else the first."""
    if not wanted:
        return _day_around(stall, now) or stall.days[0]
    try:
        found = stall.day(date.fromisoformat(wanted))
    except ValueError:
        raise QuestionError(
            f"--day {wanted}: not a date; write it like {stall.days[0].date}"
        ) from None
    if found is None:
        raise QuestionError(f"--day {wanted}: no fair day; the fair days are {_dates(stall)}")
    return found


def _dates(stall: Stall) -> str:
    return ", ".join(str(day.date) for day in stall.days)


def _day_around(stall: Stall, now: datetime) -> Day | None:
    """The day that `now` belongs to: the one that is open, or whose date it is."""
    open_now = next((day for day in stall.days if day.hours.holds(now)), None)
    return open_now or stall.day(now.astimezone(stall.signboard.timezone).date())


def time_of(day: Day, text: str, option: str = "") -> datetime:
    """The instant of `14:30` on that day; on one that closes after midnight, within its hours."""
    found = re.fullmatch(r"(\d{1,2})[:.](\d\d)", text.strip())
    hour, minute = (int(found[1]), int(found[2])) if found else (99, 0)
    if hour > 23 or minute > 59:
        raise QuestionError(f"{option}{text}: not a time of day; write it like 14:30")
    midnight = datetime.combine(day.date, datetime.min.time(), tzinfo=day.signboard.timezone)
    moments = [
        instant((midnight + timedelta(days=after)).replace(hour=hour, minute=minute))
        for after in (0, 1)
    ]
    return next((m for m in moments if day.hours.start <= m <= day.hours.end), moments[0])


def moment_of(stall: Stall, text: str, option: str) -> datetime:
    """The instant written as 2027-02-13T14:12, on the stall's clock unless it names its offset."""
    try:
        moment = datetime.fromisoformat(text.strip())
        if not _EARLIEST <= moment.year <= _LATEST:
            raise ValueError("beyond every fair")
    except ValueError:
        example = f"{stall.days[0].date}T14:12"
        raise QuestionError(f"{option} {text}: not a moment; write it like {example}") from None
    zone = stall.signboard.timezone
    return instant(moment if moment.tzinfo else moment.replace(tzinfo=zone))


def asked_at(stall: Stall, day: str, now: str, clock: Callable[[], datetime]) -> Asked:
    """The day and moment of a question. On no fair day it is taken as if it were one, now.

    The clock is looked at only if no moment is named: to judge it takes some milliseconds.
    """
    if now:
        moment = moment_of(stall, now, "--now")
        near = _day_around(stall, moment) or _nearest(stall, moment)
        return Asked(day_of(stall, day, moment) if day else near, moment, pretended=True)
    wall = clock()
    today = day_of(stall, day, wall)
    if today is _day_around(stall, wall):
        return Asked(today, wall)
    local = wall.astimezone(stall.signboard.timezone)
    pretended = datetime.combine(today.date, local.time(), tzinfo=stall.signboard.timezone)
    return Asked(today, instant(pretended), pretended=True)


def _nearest(stall: Stall, moment: datetime) -> Day:
    """The last day before `moment`, or, before them all, the first."""
    past = [day for day in stall.days if day.hours.end <= moment]
    following = [day for day in stall.days if day.hours.start > moment]
    eve = following and following[0].hours.start - moment < timedelta(days=1)
    return following[0] if eve or not past else past[-1]


def live_at(stall: Stall, day: str, as_if: str, wall: datetime) -> Asked:
    """The day that `run` runs: the one that it is, or is to be taken for."""
    moment = moment_of(stall, as_if, "--as-if") if as_if else wall
    today = _day_around(stall, moment) or _eve_of(stall, moment)
    wanted = day_of(stall, day, moment) if day else today
    if today is None or wanted is not today:
        first = stall.days[0]
        practise = f"{first.hours.start.astimezone(stall.signboard.timezone):%Y-%m-%dT%H:%M}"
        raise QuestionError(
            f"{moment.astimezone(stall.signboard.timezone):%Y-%m-%d %H:%M} is not on "
            f"{f'the day {day}' if day else 'a fair day'}; the fair days are {_dates(stall)}. "
            f"To practise: showtime run --as-if {practise}"
        )
    return Asked(today, moment, pretended=bool(as_if))


def _eve_of(stall: Stall, moment: datetime) -> Day | None:
    """The fair day that is waited for at `moment`, when it is near enough to be set up for."""
    coming = next((day for day in stall.days if day.hours.start > moment), None)
    return coming if coming and coming.hours.start - moment <= _SET_UP else None


def piece_of(day: Day, name: str, option: str = "") -> Piece | None:
    """The piece of that name in any spelling of capitals; None when no name is given."""
    if not name:
        return None
    found = [piece for piece in day.pieces if piece.name.casefold() == name.casefold()]
    if not found:
        names = ", ".join(piece.name for piece in day.pieces)
        raise QuestionError(f"{option}{name}: no such piece; there are {names}")
    return found[0]
