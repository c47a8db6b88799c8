"""The days of a file, and which of their hours a time of day means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from showtime.fair import Span, Where
from showtime.settings.localtime import complain_of_gap, resolved, shown
from showtime.settings.model import Group
from showtime.settings.problem import Problems
from showtime.settings.quantity import DAY, ZERO
from showtime.settings.stallfile import DayGroup
from showtime.settings.tree import Sequence as Listing

# An interval whose end is not after its start runs over midnight, on a day that does, when it is
# no longer than this; a longer one is a slip of the pen.
LONGEST_OVER_MIDNIGHT = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class OpenDay:
    """A day of the fair with its open hours. `late`: it closes after midnight."""

    date: date
    hours: Span
    zone: ZoneInfo
    group: DayGroup

    @property
    def late(self) -> bool:
        return self.group.closes <= self.group.opens

    @property
    def meets_midnight(self) -> bool:
        """True when it closes at midnight or later: intervals may run over midnight then."""
        return self.late or self.group.closes == DAY


@dataclass(frozen=True, slots=True)
class OpenDays:
    """All open days, in order. Not `certain` when some could not be read."""

    days: tuple[OpenDay, ...]
    certain: bool = True

    def among(self, wanted: Sequence[date] | None) -> list[OpenDay]:
        """Those that an entry is for: all when it names none."""
        return [day for day in self.days if wanted is None or day.date in wanted]


def open_days(groups: Sequence[DayGroup], zone: ZoneInfo, problems: Problems) -> OpenDays:
    """The days in order; one that comes twice or begins before the last ended is a problem."""
    days: dict[date, OpenDay] = {}
    for group in groups:
        if group.date in days:
            line = days[group.date].group.where.line
            problems.add(
                group.where_of("date"),
                f"{group.date} is here twice, first on line {line}; keep one",
            )
            continue
        hours = _hours(group, zone, problems)
        if hours:
            days[group.date] = OpenDay(group.date, hours, zone, group)
    ordered = sorted(days.values(), key=lambda day: day.date)
    for before, after in zip(ordered, ordered[1:], strict=False):
        if before.hours.meets(after.hours):
            problems.add(
                after.group.where_of("opens"),
                f"{after.date} opens before the day before has closed, at"
                f" {shown(before.hours.end, zone)}; open it later",
            )
    return OpenDays(tuple(ordered), certain=len(ordered) == len(groups))


def _hours(group: DayGroup, zone: ZoneInfo, problems: Problems) -> Span | None:
    """The open hours; None, with a problem, when the clocks leave one of their ends out."""
    closes = group.closes if group.closes > group.opens else group.closes + DAY
    ends = []
    for key, clock in (("opens", group.opens), ("closes", closes)):
        at, exists = resolved(group.date, clock, zone)
        if not exists:
            complain_of_gap(group.date, clock, zone, group.where_of(key), problems)
            return None
        ends.append(at)
    return Span(*ends)


def check_ends(
    group: Group, from_: timedelta, until: timedelta, open_: OpenDays, problems: Problems
) -> bool:
    """False, with a problem, when an interval ends before it starts on all of its days."""
    if until > from_:
        return True
    over_midnight = until + DAY - from_
    late = any(day.meets_midnight for day in open_.days) or not open_.certain
    if until < from_ and late and over_midnight <= LONGEST_OVER_MIDNIGHT:
        return True
    problems.add(
        group.where_of("until"),
        f"this ends at {_clock(until)}, not after it starts at {_clock(from_)}; write a later time",
    )
    return False


def _clock(clock: timedelta) -> str:
    minutes = int(clock.total_seconds()) // 60
    return f"{minutes // 60}:{minutes % 60:02}"


def spans_on(
    day: OpenDay,
    clocks: tuple[timedelta, timedelta],
    margin: timedelta,
    group: Group,
    problems: Problems,
) -> list[Span]:
    """Where an interval lies that meets the day's hours: on its date or, on a late day, the next.

    `clocks` are its from and until; it counts as meeting the hours with its margin.
    """
    found = []
    for shift in (ZERO, DAY) if day.late else (ZERO,):
        start, end, gaps = _ends(day, clocks, shift)
        seeming = Span(min(start, end), max(start, end) + timedelta(seconds=1))
        if not seeming.widened(margin).meets(day.hours):
            continue
        _complain(day, gaps, group, problems)
        if start < end and Span(start, end).widened(margin).meets(day.hours):
            found.append(Span(start, end))
    return found


def first_span(
    day: OpenDay,
    clocks: tuple[timedelta, timedelta],
    margin: timedelta,
    group: Group,
    problems: Problems,
) -> Span | None:
    """As `spans_on`, but when none meets the hours, the one on the day's own date."""
    meeting = spans_on(day, clocks, margin, group, problems)
    if meeting:
        return meeting[0]
    start, end, gaps = _ends(day, clocks, ZERO)
    _complain(day, gaps, group, problems)
    return Span(start, end) if start < end else None


_Gap = tuple[str, timedelta]


def _ends(
    day: OpenDay, clocks: tuple[timedelta, timedelta], shift: timedelta
) -> tuple[datetime, datetime, list[_Gap]]:
    """Both ends of an interval, and which of its times a change of clocks leaves out."""
    from_, until = clocks
    keyed = (("from", from_ + shift), ("until", until + shift + (DAY if until <= from_ else ZERO)))
    moments = [(key, clock, *resolved(day.date, clock, day.zone)) for key, clock in keyed]
    gaps = [(key, clock) for key, clock, _, exists in moments if not exists]
    return moments[0][2], moments[1][2], gaps


def _complain(day: OpenDay, gaps: list[_Gap], group: Group, problems: Problems) -> None:
    for key, clock in gaps:
        complain_of_gap(day.date, clock, day.zone, group.where_of(key), problems)


def check_dates(
    group: Group, wanted: Sequence[date] | None, open_: OpenDays, problems: Problems
) -> None:
    """An entry's dates are days of the fair."""
    dates = [day.date for day in open_.days]
    for index, each in enumerate(wanted or ()):
        if each not in dates and open_.certain and dates:
            known = ", ".join(map(str, dates))
            problems.add(
                _where_of_item(group, index), f"{each} is no day of the fair; its days are {known}"
            )


def _where_of_item(group: Group, index: int) -> Where:
    node = group.node.get("days")
    return node.items[index].where if isinstance(node, Listing) else group.where
