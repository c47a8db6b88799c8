"""Moments and lengths as the keeper reads them, on the stall's wall clock."""

from __future__ import annotations

from datetime import datetime, timedelta

from showtime.fair import Day


def clock(day: Day, moment: datetime) -> str:
    """`14:30`, with seconds where they matter.

    The zone is named in an hour that the wall clock shows twice, the date where the moment lies
    on another date and outside the open hours.
    """
    local = day.local(moment)
    words = local.strftime("%H:%M")
    if local.second or local.microsecond:
        words += local.strftime(":%S")
    if local.microsecond:
        words += f".{local.microsecond:06d}".rstrip("0")
    if local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset():
        words += f" {local.tzname()}"
    if local.date() != day.date and not day.hours.start <= moment <= day.hours.end:
        words = f"{local.date().isoformat()} {words}"
    return words


def length(time: timedelta) -> str:
    """`4 min 30 s`, `6 min`, `0 s`."""
    minutes, rest = divmod(time, timedelta(minutes=1))
    seconds = f"{rest.total_seconds():.6f}".rstrip("0").rstrip(".")
    if not minutes:
        return f"{seconds} s"
    return f"{minutes} min {seconds} s" if rest else f"{minutes} min"
