"""The keeper says what time it is: `14:05`, `Sunday 10:05`, `2027-02-14 10:05`. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from showtime.fair import Day, instant
from showtime.live import events as happened
from showtime.live.asked import QuestionError
from showtime.live.clock.steady import Noticed
from showtime.live.clock.trust import Doubted, Trust, meant
from showtime.live.keeper.actions import given_back
from showtime.live.keeper.changes import clock_of
from showtime.live.state import DayState

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_EXAMPLE = "14:05, or with the day: Sunday 10:05"
_AT_MOST = 3
"""So many starts are named one by one; of more only the number is told."""


def moment_said(words: Sequence[str], day: Day, now: datetime, trust: Trust) -> datetime:
    """The instant that is meant by a keeper of `day` whose clock shows `now`.

    A weekday is the next one from `day` on, that day included. QuestionError: it is no time.
    """
    said = " ".join(words).strip()
    try:
        *dated, clock = re.split(r"[ T]+", said)
        told = _time(clock)
        on = _date(dated[0], day) if dated else None
        if len(dated) > 1:
            raise ValueError("more than a day and a time")
        if on is None:
            return meant(told, day, now, trust)
        return instant(datetime.combine(on, told, day.signboard.timezone))
    except ValueError:
        pass
    try:
        moment = datetime.fromisoformat(said)
        zone = day.signboard.timezone
        return instant(moment if moment.tzinfo else moment.replace(tzinfo=zone))
    except (ValueError, OverflowError):
        raise QuestionError(f"{said or 'nothing'!r} is no time; say one like {_EXAMPLE}") from None


def _time(clock: str) -> time:
    found = re.fullmatch(r"(\d{1,2})[:.](\d\d)(?:[:.](\d\d))?", clock)
    if found is None:
        raise ValueError("no time of day")
    hour, minute, second = (int(part or 0) for part in found.groups())
    return time(hour, minute, second)


def _date(said: str, day: Day) -> date:
    named = [name for name in _WEEKDAYS if len(said) > 2 and name.startswith(said.lower())]
    if not named:
        return date.fromisoformat(said)
    ahead = (_WEEKDAYS.index(named[0]) - day.date.weekday()) % 7
    return day.date + timedelta(days=ahead)


def too_late(state: DayState, now: datetime) -> tuple[happened.Slot, ...]:
    """The starts to come that can no longer be made at `now`."""
    return tuple(slot for slot in state.upcoming if slot.starts + state.keep_within < now)


def passed(state: DayState, now: datetime) -> tuple[happened.Missed, ...]:
    """What has to be said of those starts."""
    why = "its time had passed"
    return tuple(happened.Missed(at=now, slot=slot, why=why) for slot in too_late(state, now))


def cost(state: DayState, moment: datetime, turns_to: Day | None) -> str:
    """What would be lost if it were `moment`, in the keeper's words; empty when nothing is.

    `turns_to` is another day that would begin.
    """
    lost = too_late(state, moment)
    starts = f": {', '.join(clock_of(state, slot.starts) for slot in lost)}"
    named = starts if len(lost) <= _AT_MOST else ""
    missed = f"miss {len(lost)} performance{'' if len(lost) == 1 else 's'}{named}" if lost else ""
    sure = not state.doubt  # a day that knew its time is not ended by a slip of the fingers
    ended = f"end {state.day.date:%A}" if turns_to and (lost or sure) else ""
    return " and ".join(filter(None, (ended, missed)))


def trust_event(trust: Trust, now: datetime) -> happened.Event:
    """That the clock is believed from now on, on somebody's word, or that it is not."""
    if isinstance(trust, Doubted):
        return happened.ClockDoubted(at=now, why=trust.why)
    boot, since = (trust.setting.boot, trust.setting.since) if trust.setting else ("", None)
    return happened.ClockTrusted(at=now, by=trust.by.value, boot=boot, since=since)


def was_set(
    state: DayState, noticed: Noticed, words: str, now: datetime
) -> tuple[happened.Event, ...]:
    """The keeper has set the clock, in these words; what has passed by it, and what has not yet."""
    taken = happened.ActionTaken(at=now, words=words, was=noticed.was)
    trusted = trust_event(noticed.trust, now)
    return (taken, trusted, *passed(state, now), *given_back(state, now))
