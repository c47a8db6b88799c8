"""What the parts of a stall's settings, and its fair's, owe to each other."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from showtime.fair import Piece
from showtime.settings.localtime import shown
from showtime.settings.opening import OpenDay, OpenDays
from showtime.settings.problem import Problems
from showtime.settings.quantity import plain
from showtime.settings.stallfile import CallGroup, PieceGroup, StallFile
from showtime.settings.tree import Mapping, Scalar
from showtime.settings.tree import Sequence as Listing


def names(stall: StallFile, key: str, problems: Problems) -> list[str]:
    """The names of all entries under `key`, readable or not; one that comes twice is a problem."""
    entries = stall.node.get(key)
    lines: dict[str, int] = {}
    for entry in entries.items if isinstance(entries, Listing) else ():
        name = entry.get("name") if isinstance(entry, Mapping) else None
        if not isinstance(name, Scalar):
            continue
        text = name.text.strip()
        if text in lines:
            problems.add(
                name.where, f"'{text}' is here twice, first on line {lines[text]}; rename one"
            )
        lines.setdefault(text, name.where.line)
    return list(lines)


def check_inside_fair(days: OpenDays, fair: OpenDays, problems: Problems) -> None:
    """A stall is open only while its fair is."""
    there = {day.date: day for day in fair.days}
    for day in days.days:
        around = there.get(day.date)
        if around is None:
            if fair.certain:
                known = ", ".join(map(str, there))
                problems.add(
                    day.group.where_of("date"),
                    f"the fair is not open on {day.date}; its days are {known}",
                )
        elif day.hours.start < around.hours.start:
            _complain(day, around, "opens", problems)
        elif day.hours.end > around.hours.end:
            _complain(day, around, "closes", problems)


def _complain(day: OpenDay, around: OpenDay, key: str, problems: Problems) -> None:
    hours = f"{shown(around.hours.start, day.zone)} to {shown(around.hours.end, day.zone)}"
    problems.add(
        day.group.where_of(key),
        f"on {day.date} the stall {key} outside the fair's hours; they are {hours}",
    )


def check_pieces_fit(
    groups: Sequence[PieceGroup], pieces: Sequence[Piece], days: OpenDays, problems: Problems
) -> tuple[Piece, ...]:
    """Those pieces that some day is long enough for; any other could never be played."""
    longest = max((day.hours.length for day in days.days), default=None)
    fitting = []
    for group, piece in zip(groups, pieces, strict=True):
        if longest is None or not days.certain or piece.lasts <= longest:
            fitting.append(piece)
        else:
            problems.add(
                group.where_of("lasts"),
                f"{plain(piece.lasts)} is longer than any day, the longest has {plain(longest)};"
                " shorten it",
            )
    return tuple(fitting)


def calls_in_order(groups: Sequence[CallGroup], problems: Problems) -> tuple[timedelta, ...]:
    """How long before a performance visitors are called, the earliest call first."""
    seen: dict[timedelta, int] = {}
    for group in groups:
        if group.before in seen:
            problems.add(
                group.where_of("before"),
                f"there is a call {plain(group.before)} before already, on line"
                f" {seen[group.before]}; keep one",
            )
        seen.setdefault(group.before, group.where.line)
    return tuple(sorted(seen, reverse=True))
