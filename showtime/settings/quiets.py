"""Quiet intervals of a day: once, again and again, or from a calendar file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from itertools import islice
from pathlib import Path

from showtime.fair import QuietInterval, Span
from showtime.settings.calendars import Calendar, Calendars
from showtime.settings.opening import (
    OpenDay,
    OpenDays,
    check_dates,
    check_ends,
    first_span,
    spans_on,
)
from showtime.settings.problem import Problems
from showtime.settings.quantity import DAY, plain
from showtime.settings.stallfile import QuietGroup

MOST_A_DAY = 500


def quiet_by_day(
    groups: Sequence[QuietGroup],
    open_: OpenDays,
    known: OpenDays,
    folder: Path,
    calendars: Calendars,
    problems: Problems,
) -> dict[date, list[QuietInterval]]:
    """What of each entry meets each open day.

    `known` are the days of the file that the entries stand in, and `folder` is where it lies.
    """
    found: dict[date, list[QuietInterval]] = {day.date: [] for day in open_.days}
    for group in groups:
        check_dates(group, group.days, known, problems)
        if group.calendar is None and not _makes_sense(group, known, problems):
            continue
        calendar: Calendar | None = None
        for day in open_.among(group.days):
            if group.calendar is None:
                more = _from_clock(group, day, problems)
            else:
                calendar = calendar or calendars.at(
                    folder / group.calendar, day.zone, group.where_of("calendar"), problems
                )
                more = _from_calendar(group, calendar, day)
            found[day.date] += islice(more, MOST_A_DAY)
            if len(found[day.date]) >= MOST_A_DAY:
                problems.add(
                    group.where,
                    f"with this, {day.date} has {MOST_A_DAY} quiet intervals; leave some out",
                )
                return found
    return found


def _makes_sense(group: QuietGroup, open_: OpenDays, problems: Problems) -> bool:
    from_, until = group.from_, group.until
    if from_ is None or until is None or not check_ends(group, from_, until, open_, problems):
        return False
    length = until - from_ if until > from_ else until + DAY - from_
    if group.every is not None and group.every <= length:
        problems.add(
            group.where_of("every"),
            f"this comes again before it has ended; write more than {plain(length)}",
        )
        return False
    return True


def _from_clock(group: QuietGroup, day: OpenDay, problems: Problems) -> Iterator[QuietInterval]:
    if group.from_ is None or group.until is None:
        return
    clocks = (group.from_, group.until)
    if clocks[1] <= clocks[0] and not day.meets_midnight:
        return
    if group.every is None:
        spans = spans_on(day, clocks, group.margin, group, problems)
    else:
        first = first_span(day, clocks, group.margin, group, problems)
        spans = _repeated(first, group.every, day.hours.end + group.margin) if first else []
    for span in spans:
        if span.widened(group.margin).meets(day.hours):
            yield _interval(group, group.why, span)


def _repeated(first: Span, every: timedelta, until: datetime) -> list[Span]:
    """Again and again by elapsed time, not by the clock, as long as it starts before `until`."""
    count = max(0, -((first.start - until) // every))
    return [Span(first.start + n * every, first.end + n * every) for n in range(count)]


def _interval(group: QuietGroup, why: str, span: Span) -> QuietInterval:
    return QuietInterval(why, span, group.margin, group.answers, group.where)


def _from_calendar(group: QuietGroup, calendar: Calendar, day: OpenDay) -> Iterator[QuietInterval]:
    for event in calendar.events(day.hours.widened(group.margin)):
        why = f"{group.why}: {event.summary}" if event.summary else group.why
        yield _interval(group, why, event.span)
