"""Times and lengths as people read them."""

from __future__ import annotations

from datetime import datetime, timedelta

from showtime.fair import Day


def clock_time(day: Day, moment: datetime) -> str:
    """`14:30` on the stall's wall clock; the weekday is added when it is not the day itself."""
    local = day.local(moment)
    return f"{local:%H:%M}" if local.date() == day.date else f"{local:%a %H:%M}"


def length(stretch: timedelta) -> str:
    """`1 h 05 min`, `17 min 27 s`, `45 s`; never less than nothing."""
    seconds = max(0, round(stretch.total_seconds()))
    hours, rest = divmod(seconds, 3600)
    minutes, seconds = divmod(rest, 60)
    if hours:
        return f"{hours} h {minutes:02} min"
    if minutes:
        return f"{minutes} min {seconds:02} s" if seconds else f"{minutes} min"
    return f"{seconds} s"


def typed(words: str) -> str:
    """The nearest ASCII: what has no likeness there is a question mark."""
    from unicodedata import combining, normalize

    apart = normalize("NFKD", words.replace("°", ""))
    bare = "".join(each for each in apart if not combining(each))
    return bare.encode("ascii", "replace").decode("ascii")
