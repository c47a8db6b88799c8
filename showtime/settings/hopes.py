"""The keeper's wishes for one day, and whether what is fixed can be at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from showtime.fair import Piece, QuietInterval, Span, wishes
from showtime.settings.kinds import closest
from showtime.settings.localtime import complain_of_gap, resolved, shown
from showtime.settings.opening import OpenDay, OpenDays, check_dates, check_ends, spans_on
from showtime.settings.problem import Problems
from showtime.settings.quantity import DAY, ZERO, plain
from showtime.settings.stallfile import BusyGroup, FixedGroup


@dataclass(frozen=True, slots=True)
class Setting:
    """What a day's wishes are looked at beside."""

    day: OpenDay
    pieces: tuple[Piece, ...]
    quiet: tuple[QuietInterval, ...]
    start_on: timedelta


def busy_by_day(
    groups: Sequence[BusyGroup], open_: OpenDays, problems: Problems
) -> dict[date, list[wishes.Busy]]:
    """The busy spans of each date; two that overlap are a problem, for which worth would count?"""
    found: dict[date, list[wishes.Busy]] = {day.date: [] for day in open_.days}
    for group in groups:
        check_dates(group, group.days, open_, problems)
        if not check_ends(group, group.from_, group.until, open_, problems):
            continue
        for day in open_.among(group.days):
            for span in _spans(group, day, problems):
                if any(busy.span.meets(span) for busy in found[day.date]):
                    problems.add(
                        group.where, f"this overlaps another busy span on {day.date}; part them"
                    )
                found[day.date].append(wishes.Busy(span, group.worth))
    return found


def _spans(group: BusyGroup, day: OpenDay, problems: Problems) -> list[Span]:
    if group.until <= group.from_ and not day.meets_midnight:
        return []
    return spans_on(day, (group.from_, group.until), ZERO, group, problems)


def check_pieces(groups: Sequence[FixedGroup], known: Sequence[str], problems: Problems) -> None:
    """A fixed performance must be of a piece that there is."""
    for group in groups:
        if group.piece is not None and group.piece not in known:
            problems.add(
                group.where_of("piece"),
                f"there is no piece '{group.piece}'; {closest(group.piece, list(known))}",
            )


def fixed_by_day(
    groups: Sequence[FixedGroup],
    open_: OpenDays,
    settings: Sequence[Setting],
    problems: Problems,
) -> dict[date, list[wishes.Fixed]]:
    """The fixed performances of each date; one that cannot be on all of its days is a problem."""
    found: dict[date, list[wishes.Fixed]] = {day.date: [] for day in open_.days}
    for group in groups:
        check_dates(group, group.days, open_, problems)
        fitting: list[date] = []
        failing: list[str] = []
        for setting in settings:
            day = setting.day
            lasts = _lasts(group, setting.pieces)
            if lasts is None or (group.days is not None and day.date not in group.days):
                continue
            at, clock, exists = _fixed_at(group, lasts, day)
            if not exists:
                complain_of_gap(day.date, clock, day.zone, group.where_of("at"), problems)
            elif wrong := _in_the_way(at, lasts, setting):
                near = _nearest(at, lasts, setting)
                failing.append(f"{shown(at, day.zone)} on {day.date} {wrong}; {near}")
            else:
                fitting.append(day.date)
                found[day.date].append(wishes.Fixed(at, group.piece, group.why, group.where))
        if failing:
            only = f", or keep it to days: [{', '.join(map(str, fitting))}]" if fitting else ""
            problems.add(group.where_of("at"), failing[0] + only)
    return found


def _fixed_at(
    group: FixedGroup, lasts: timedelta, day: OpenDay
) -> tuple[datetime, timedelta, bool]:
    """The instant meant, on the day's date or the next; its time from midnight; if it exists."""
    at, exists = resolved(day.date, group.at, day.zone)
    if not _inside(at, lasts, day.hours) and day.late:
        later, later_exists = resolved(day.date, group.at + DAY, day.zone)
        if later < day.hours.end:
            return later, group.at + DAY, later_exists
    return at, group.at, exists


def _lasts(group: FixedGroup, pieces: Sequence[Piece]) -> timedelta | None:
    """How long it sounds at least: as the piece named, or else as the shortest one."""
    lengths = [piece.lasts for piece in pieces if group.piece in (None, piece.name)]
    return min(lengths, default=None)


def _inside(at: datetime, lasts: timedelta, hours: Span) -> bool:
    return hours.start <= at and at + lasts <= hours.end


def _in_the_way(at: datetime, lasts: timedelta, setting: Setting) -> str:
    day, zone = setting.day, setting.day.zone
    if not _inside(at, lasts, day.hours):
        hours = f"{shown(day.hours.start, zone)} to {shown(day.hours.end, zone)}"
        return f"and {plain(lasts)} of sound are not inside the open hours, {hours}"
    if not _on_grid(at, setting):
        return f"is not on the grid of {plain(setting.start_on)}"
    for quiet in setting.quiet:
        if quiet.forbidden.meets(Span(at, at + lasts)):
            span = f"{shown(quiet.forbidden.start, zone)} to {shown(quiet.forbidden.end, zone)}"
            return f"would sound in the quiet interval '{quiet.why}', {span}"
    return ""


def _on_grid(at: datetime, setting: Setting) -> bool:
    local = at.astimezone(setting.day.zone)
    return not timedelta(minutes=local.minute, seconds=local.second) % setting.start_on


def _nearest(at: datetime, lasts: timedelta, setting: Setting) -> str:
    zone = setting.day.zone
    fitting = [start for start in _grid(setting) if not _in_the_way(start, lasts, setting)]
    before = [start for start in fitting if start < at][-1:]
    after = [start for start in fitting if start > at][:1]
    near = " or ".join(shown(start, zone) for start in before + after)
    return f"write {near}" if near else "no start on that day fits"


def _grid(setting: Setting) -> Iterator[datetime]:
    """All starts on the grid in the open hours, hour by hour of the stall's clock."""
    day = setting.day
    step = max(setting.start_on, timedelta(minutes=1))
    for hour in range(49):
        into = ZERO
        while into < timedelta(hours=1):
            at, exists = resolved(day.date, timedelta(hours=hour) + into, day.zone)
            if exists and day.hours.holds(at):
                yield at
            into += step
