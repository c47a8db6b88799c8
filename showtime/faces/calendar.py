"""The day as a calendar file, which visitors and neighbours take into their own calendars.

Written by hand after RFC 5545: lines end in CR LF and are folded at 75 octets (3.1), text is
escaped (3.3.11), times are in UTC. An entry's UID is made of stall, day and start alone, so that a
later file changes the entries of an earlier one: what is different gets a higher SEQUENCE (3.8.7.4)
and what has gone is STATUS:CANCELLED (3.8.1.11).
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from showtime.fair import Day, Performance, Plan, ShowtimeError

_OURS = uuid.UUID("6e0d5b1c-3f0a-5f57-9d6c-2c1f4a7b8e35")
"""The namespace of the entries' UIDs (RFC 9562, version 5)."""

_FOLD = 75
_UNFIT = re.compile(r"\r\n|[\x00-\x1f\x7f\x85\u2028\u2029\ud800-\udfff]")
"""What ends a line or cannot stand in a calendar."""


class CalendarError(ShowtimeError):
    """The file that stands where the calendar is to go is not one of this stall."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One performance as calendars have it."""

    uid: str
    starts: datetime
    ends: datetime
    summary: str
    place: str
    made: datetime
    changed: datetime
    sequence: int = 0
    cancelled: bool = False

    def says_the_same(self, other: Entry) -> bool:
        """True when somebody who has the other need not be told of this one."""
        ours, theirs = (
            replace(each, made=self.made, changed=self.changed, sequence=0)
            for each in (self, other)
        )
        return ours == theirs


def uid_of(stall: str, date: str, starts: datetime) -> str:
    """The same for the same stall, day and start, whatever is played."""
    return str(uuid.uuid5(_OURS, f"{stall}\n{date}\n{starts.astimezone(UTC):%Y%m%dT%H%M%SZ}"))


def calendar(
    day: Day,
    performances: Sequence[Performance],
    now: datetime,
    *,
    former: bytes | None = None,
    alarm: timedelta | None = None,
    file: str = "calendar",
) -> bytes:
    """The file. `now` stamps what is new in it; `former` is the one that it takes the place of.

    Entries of the stall's other days stay in it. `alarm`: so long before each start. CalendarError,
    which names `file`, when `former` is not a calendar of this stall.
    """
    board = day.signboard
    entries = _followed_all([(day, performances)], (board.stall,), now, former, file)
    return _written(board.stall, board.fair, entries, alarm)


def hall_calendar(
    fair: str,
    plans: Sequence[Plan],
    now: datetime,
    *,
    former: bytes | None = None,
    file: str = "calendar",
) -> bytes:
    """All stalls of one day in one file; each entry is the one that the stall's own calendar has.

    `plans` are of the same day; entries of the fair's other days stay in it, and what is not
    planned any more is called off, also of a stall that is gone. CalendarError: not of this fair.
    """
    parts = [(plan.day, plan.performances) for plan in plans]
    stalls = tuple(plan.day.signboard.stall for plan in plans)
    entries = _followed_all(parts, stalls, now, former, file, gone_from=fair)
    return _written(fair, "", entries, None)


def updated(
    path: Path,
    day: Day,
    performances: Sequence[Performance],
    now: datetime,
    alarm: timedelta | None = None,
) -> bytes:
    """The calendar for `path`, after the one that may stand there. CalendarError: not ours."""
    try:
        former = path.read_bytes() if path.exists() else None
    except OSError as error:
        raise CalendarError(f"{path}:1:1: cannot read it: {error.strerror}") from None
    return calendar(day, performances, now, former=former, alarm=alarm, file=str(path))


def _followed_all(
    parts: Sequence[tuple[Day, Sequence[Performance]]],
    stalls: Sequence[str],
    now: datetime,
    former: bytes | None,
    file: str,
    gone_from: str = "",
) -> list[Entry]:
    """What is planned, following what the former file had; `parts` are of one date."""
    now = now.astimezone(UTC).replace(microsecond=0)
    planned = [_entry(day, each, now) for day, those in parts for each in those]
    wanted = {entry.uid: entry for entry in planned}
    known = _read(former, stalls, gone_from, file) if former else {}
    entries = [
        _followed(entry, known[uid][0] if uid in known else None) for uid, entry in wanted.items()
    ]
    today = {day.date.isoformat() for day, _ in parts}
    entries += [
        _left(before, date in today, now)
        for uid, (before, date) in known.items()
        if uid not in wanted
    ]
    return sorted(entries, key=lambda entry: (entry.starts, entry.uid))


def _written(stall: str, fair: str, entries: Sequence[Entry], alarm: timedelta | None) -> bytes:
    return "".join(_folded(line) for line in _lines(stall, fair, entries, alarm)).encode()


def _entry(day: Day, performance: Performance, now: datetime) -> Entry:
    board = day.signboard
    return Entry(
        uid_of(board.stall, day.date.isoformat(), performance.starts),
        performance.starts.astimezone(UTC),
        performance.ends.astimezone(UTC),
        _UNFIT.sub(" ", f"{board.figure}: {performance.piece.name}").strip(),
        _UNFIT.sub(" ", f"{board.stall}, {board.fair}").strip(),
        now,
        now,
    )


def _followed(entry: Entry, before: Entry | None) -> Entry:
    """The entry as it follows the one that was there before."""
    if before is None:
        return entry
    if entry.says_the_same(before):
        return before
    return replace(entry, made=before.made, sequence=before.sequence + 1)


def _left(before: Entry, of_this_day: bool, now: datetime) -> Entry:
    """What is not planned: called off, if it is of this day."""
    if not of_this_day or before.cancelled:
        return before
    return replace(before, cancelled=True, sequence=before.sequence + 1, changed=now)


def _lines(
    stall: str, fair: str, entries: Sequence[Entry], alarm: timedelta | None
) -> Iterator[str]:
    yield "BEGIN:VCALENDAR"
    yield "VERSION:2.0"
    yield f"PRODID:-//Showtime//{_text(stall)}//EN"
    yield f"NAME:{_text(f'{stall}, {fair}' if fair else stall)}"  # RFC 7986, 5.1
    for entry in entries:
        yield from _event(entry, alarm)
    yield "END:VCALENDAR"


def _event(entry: Entry, alarm: timedelta | None) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{entry.uid}"
    yield f"DTSTAMP:{_utc(entry.changed)}"
    yield f"CREATED:{_utc(entry.made)}"
    yield f"LAST-MODIFIED:{_utc(entry.changed)}"
    yield f"SEQUENCE:{entry.sequence}"
    yield f"STATUS:{'CANCELLED' if entry.cancelled else 'CONFIRMED'}"
    yield f"DTSTART:{_utc(entry.starts)}"
    yield f"DTEND:{_utc(entry.ends)}"
    yield f"SUMMARY:{_text(entry.summary)}"
    yield f"LOCATION:{_text(entry.place)}"
    yield "TRANSP:TRANSPARENT"
    if alarm is not None and not entry.cancelled:
        yield "BEGIN:VALARM"
        yield "ACTION:DISPLAY"
        yield f"TRIGGER:-PT{alarm // timedelta(minutes=1)}M"
        yield f"DESCRIPTION:{_text(entry.summary)}"
        yield "END:VALARM"
    yield "END:VEVENT"


def _utc(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _text(text: str) -> str:
    """RFC 5545, 3.3.11."""
    return re.sub(r"([\\;,])", r"\\\1", _UNFIT.sub(" ", text))


def _folded(line: str) -> str:
    """In lines of at most 75 octets, never parting a character: RFC 5545, 3.1."""
    parts, room, part = [], _FOLD, ""
    for sign in line:
        size = len(sign.encode("utf-8", "replace"))
        if size > room:
            parts.append(part)
            part, room = "", _FOLD - 1
        part, room = part + sign, room - size
    return "\r\n ".join([*parts, part]) + "\r\n"


def _read(
    former: bytes, stalls: Sequence[str], gone_from: str, file: str
) -> dict[str, tuple[Entry, str]]:
    """The entries of an earlier file and the day that each is of, by UID."""
    from icalendar import Calendar

    try:
        found = [_known(event) for event in Calendar.from_ical(former).walk("VEVENT")]
    except (ValueError, KeyError, AttributeError, IndexError, TypeError) as error:
        raise CalendarError(
            f"{file}:1:1: not a calendar that can be brought up to date ({error}); "
            "give another name"
        ) from None
    dated = [(entry, _date_of(entry, stalls, gone_from)) for entry in found]
    if any(date is None for _, date in dated):
        whose = gone_from or " or ".join(stalls)
        raise CalendarError(
            f"{file}:1:1: there are entries in this calendar that are not of {whose}; "
            "give another name, and leave that file as it is"
        )
    return {entry.uid: (entry, date) for entry, date in dated if date}


def _date_of(entry: Entry, stalls: Sequence[str], gone_from: str) -> str | None:
    """The date of the day that the entry is of, if it is of one of these stalls; else None.

    One after midnight is of the day before, and the wall clock may be up to 14 hours from UTC. A
    stall that has left the fair `gone_from` is known by the place that it stood at.
    """
    suffix = f", {gone_from}"
    there = [entry.place.removesuffix(suffix)] if gone_from and entry.place.endswith(suffix) else []
    for stall in dict.fromkeys((*there, *stalls)):
        for days in (0, -1, 1, -2):
            date = (entry.starts.date() + timedelta(days=days)).isoformat()
            if entry.uid == uid_of(stall, date, entry.starts):
                return date
    return None


def _known(event: Any) -> Entry:
    """An entry as the library reads it."""
    got, text = event.decoded, event.get
    return Entry(
        str(text("UID")),
        got("DTSTART").astimezone(UTC),
        got("DTEND").astimezone(UTC),
        str(text("SUMMARY", "")),
        str(text("LOCATION", "")),
        got("CREATED").astimezone(UTC),
        got("LAST-MODIFIED").astimezone(UTC),
        int(text("SEQUENCE", 0)),
        str(text("STATUS", "")) == "CANCELLED",
    )
