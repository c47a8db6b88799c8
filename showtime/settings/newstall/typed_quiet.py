"""Reasons with times, as people type them: `lunch 13-13:30`, `talk at 3 for half an hour`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

from showtime.settings.newstall.typed_dates import dates_in
from showtime.settings.newstall.typed_times import (
    CLOCK,
    LENGTH,
    RANGE,
    alike,
    apart,
    hours_of,
    length_of,
    one_time,
    without,
)
from showtime.settings.newstall.values import AnswerError, Hours, OpenOn, QuietTime
from showtime.settings.quantity import DAY

_NOTHING = {"none", "no", "nothing", "never", "nobody", "-", "n"}
_EDGES = " .,;:()=-"
_FOR = re.compile(rf"(?:\bat\s+)?(?P<at>{CLOCK})\s*,?\s*\bfor\s+(?P<lasts>{LENGTH})", re.IGNORECASE)
_TIMES = re.compile(f"{_FOR.pattern}|{RANGE.pattern}", re.IGNORECASE)


_EVERY = re.compile(
    rf"\b(?:every\s+(?:(?P<half>half\s+(?:an\s+)?hour)|(?P<hour>hour)|(?P<each>{LENGTH}))"
    r"|(?P<hourly>hourly))\b",
    re.IGNORECASE,
)
_AND = re.compile(r"^(?:and\s+)+|(?:\s+and)+$", re.IGNORECASE)


def quiet(text: str, open_: Sequence[OpenOn]) -> tuple[QuietTime, ...]:
    """Reasons with times, several with commas between them; `none` for none."""
    if text.strip().lower().rstrip(".") in _NOTHING:
        return ()
    found: list[QuietTime] = []
    waiting = ""
    for chunk in apart(alike(text), _TIMES):
        rest, every = _taken_out(chunk)
        times = [*_TIMES.finditer(rest)]
        rest, days = _on_days(without(rest, [time.span() for time in times]), open_)
        why = _AND.sub("", " ".join(rest.split()).strip(_EDGES)).strip(_EDGES)
        if waiting and why:
            raise AnswerError(_no_times(waiting))
        why = why or waiting
        waiting = "" if times else why
        for time in times:
            hours = _in_open_hours(_quiet_hours(time), open_)
            found.append(QuietTime(why or "a pause", hours, every, days))
    if waiting:
        raise AnswerError(_no_times(waiting))
    if not found:
        raise AnswerError("this names no time; write such as lunch 13:00-13:30, or none")
    return tuple(found)


def _taken_out(chunk: str) -> tuple[str, timedelta | None]:
    """The chunk without its `every hour`, and how long that is."""
    found = _EVERY.search(chunk)
    if found is None:
        return chunk, None
    hour = timedelta(hours=1)
    each = length_of(found["each"]) if found["each"] else hour / 2 if found["half"] else hour
    return without(chunk, [found.span()]), each


def _on_days(rest: str, open_: Sequence[OpenOn]) -> tuple[str, tuple[date, ...]]:
    """What is left without its `on Saturday`, and which of the stall's days that is."""
    on = re.search(r"\bon\s+(?:the\s+)?", rest, re.IGNORECASE)
    named = dates_in(rest[on.end() :], open_[0].date) if on else ()
    if not on or not named or named[0].start != 0:
        return rest, ()
    days = tuple(day for dated in named for day in dated.days)
    for day in days:
        if day not in [each.date for each in open_]:
            raise AnswerError(f"the stall is not shown on {day:%A} {day.day} {day:%B %Y}")
    spans = [(on.end() + dated.start, on.end() + dated.end) for dated in named]
    return without(rest, [on.span(), *spans]), days


def _no_times(why: str) -> str:
    return f"from when to when is '{why[:60]}'? write such as lunch 13:00-13:30, or none"


def _quiet_hours(match: re.Match[str]) -> Hours:
    if match["at"]:
        begin = one_time(match["at"])
        return Hours(begin, (begin + length_of(match["lasts"])) % DAY)
    return hours_of(match["opens"], match["closes"])


def _in_open_hours(hours: Hours, open_: Sequence[OpenOn]) -> Hours:
    """One to two is after noon at a stall that is open then, and not in the morning."""
    later = Hours(hours.opens + DAY / 2, hours.closes + DAY / 2)
    if any(_meet(hours, day.hours) for day in open_) or later.closes > DAY:
        return hours
    return later if any(_meet(later, day.hours) for day in open_) else hours


def _meet(one: Hours, other: Hours) -> bool:
    first, last = one.closes, other.closes
    first += DAY if first <= one.opens else timedelta(0)
    last += DAY if last <= other.opens else timedelta(0)
    shifted = (one.opens + DAY, first + DAY)
    return any(a < last and other.opens < b for a, b in ((one.opens, first), shifted))
