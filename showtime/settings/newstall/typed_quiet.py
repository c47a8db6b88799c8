"""Reasons with times, as people type them: `lunch 13-13:30`, `talk at 3 for half an hour`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import timedelta

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


def quiet(text: str, open_: Sequence[OpenOn]) -> tuple[QuietTime, ...]:
    """Reasons with times, several with commas between them; `none` for none."""
    if text.strip().lower().rstrip(".") in _NOTHING:
        return ()
    found: list[QuietTime] = []
    waiting = ""
    for chunk in apart(alike(text), _TIMES):
        match = _FOR.search(chunk) or RANGE.search(chunk)
        why = (chunk if match is None else without(chunk, [match.span()])).strip(_EDGES)
        why = re.sub(r"^and\s+", "", " ".join(why.split()), flags=re.IGNORECASE)
        if waiting and why:
            raise AnswerError(_no_times(waiting))
        why = why or waiting
        waiting = why if match is None else ""
        if match is not None:
            hours = _in_open_hours(_quiet_hours(match), open_)
            found.append(QuietTime(why or "a pause", hours))
    if waiting:
        raise AnswerError(_no_times(waiting))
    if not found:
        raise AnswerError("this names no time; write such as lunch 13:00-13:30, or none")
    return tuple(found)


def _no_times(why: str) -> str:
    return f"from when to when is '{why[:60]}'? write such as lunch 13:00-13:30, or none"


def _quiet_hours(match: re.Match[str]) -> Hours:
    if "at" in match.re.groupindex:
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
