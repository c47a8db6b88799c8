"""How names and times are set: what fits a line, what can be broken, what cannot be mistaken."""

from __future__ import annotations

import re
import unicodedata
from datetime import datetime
from itertools import groupby
from math import ceil, sqrt

from showtime.faces.paper.labels import Labels
from showtime.fair import Day, Performance

_LONGEST = 18
"""Signs of a word that any column has room for."""

_BREAK = "\u200b"
"""A place without width where a line may end."""


def soft(text: str) -> str:
    """The text with places where a very long word may be broken."""
    return re.sub(rf"\S{{{_LONGEST + 1},}}", lambda word: _BREAK.join(_parts(word[0])), text)


def _parts(word: str, longest: int = _LONGEST) -> list[str]:
    """The word in parts; no sign is parted from the accents that belong to it."""
    parts = [""]
    for sign in word:
        joins = unicodedata.combining(sign) or sign == "\u200d" or parts[-1].endswith("\u200d")
        if len(parts[-1]) >= longest and not joins:
            parts.append("")
        parts[-1] += sign
    return parts


def show_lines(name: str, least: int = 16) -> list[str]:
    """A name in the lines of a show bill, each of which is set as wide as the sheet.

    A line has room for `least` signs, or for more in a long name, which takes more lines as well.
    """
    room = max(least, ceil(sqrt(8 * len(name))))
    lines = [""]
    for word in name.split():
        for part in _parts(word, room):
            joined = f"{lines[-1]} {part}".strip()
            if len(joined) > room and lines[-1]:
                lines.append(part)
            else:
                lines[-1] = joined
    return lines


def clock(day: Day, moment: datetime) -> str:
    """`14:30` on the stall's wall clock, with seconds where there are some; in an hour that comes
    twice, with the zone's name."""
    local = day.local(moment)
    other = local.replace(fold=1 - local.fold)
    twice = other.utcoffset() != local.utcoffset() and _is_there(other)
    shown = f"{local:%H:%M:%S}" if local.second else f"{local:%H:%M}"
    return f"{shown} {local:%Z}" if twice else shown


def _is_there(local: datetime) -> bool:
    """False for a wall-clock time that the night on which clocks go forward leaves out."""
    from datetime import UTC

    back = local.astimezone(UTC).astimezone(local.tzinfo)
    return back.replace(tzinfo=None) == local.replace(tzinfo=None)


def by_part_of_day(
    day: Day, performances: tuple[Performance, ...], words: Labels
) -> list[tuple[str, list[Performance]]]:
    """The performances under the names of the parts of the day, in order."""

    def part(performance: Performance) -> str:
        local = day.local(performance.starts)
        if local.date() > day.date or local.hour < 4:
            return words("night")
        if local.hour < 12:
            return words("morning")
        return words("afternoon" if local.hour < words.evening_from else "evening")

    return [(name, list(those)) for name, those in groupby(performances, part)]
