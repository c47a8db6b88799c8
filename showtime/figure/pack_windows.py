"""What may have to be said on a day that a controller does alone, and when each answer is right."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

from showtime.fair import Day, Plan, ShowtimeError
from showtime.live.answer import SOON
from showtime.wording import Bank, Kind, Mood, Situation, minutes_to_go

TWO_DAYS = 2 * 86_400
"""No answer reaches farther, in seconds from the day's midnight."""

MINUTE = 60
NEAR = (Kind.SOON, Kind.CALL)
"""What may tell the minutes to go, and so is right for a minute only."""

LATE_END_S = 65
"""A piece may have begun a minute late, and so end as much later."""

_CALLED_FOR_S = 30
"""A call may come so much after its time."""


class PackError(ShowtimeError):
    """A pack that cannot be made or used; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Window:
    """One answer's time: from `begins` until before `ends`, in seconds from the day's midnight.

    `start` is the number of the start that it is about, counted from 1; 0: of none. `situation` is
    the answer's at its beginning, `last` the same at its end.
    """

    start: int
    begins: int
    ends: int
    situation: Situation
    last: Situation

    @property
    def kind(self) -> Kind:
        return self.situation.kind


@dataclass(frozen=True)
class Axis:
    """A day's seconds, as the stall's clocks count them from its midnight."""

    day: Day

    def seconds(self, moment: datetime) -> int:
        local = self.day.local(moment).replace(tzinfo=None)
        return round((local - datetime.combine(self.day.date, time())).total_seconds())

    def moment(self, seconds: int) -> datetime:
        wall = datetime.combine(self.day.date, time()) + timedelta(seconds=seconds)
        return wall.replace(tzinfo=self.day.signboard.timezone)

    def must_be_even(self) -> None:
        """PackError for a day in whose hours the clocks are changed."""
        hours = self.day.hours
        if self.day.local(hours.start).utcoffset() != self.day.local(hours.end).utcoffset():
            raise PackError(
                f"{self.day.date}: the clocks are changed within the open hours, which a "
                "controller alone does not know; pack another day, or run the computer"
            )


def windows(plan: Plan, tomorrow: datetime | None, banks: Sequence[Bank]) -> tuple[Window, ...]:
    """Every answer that may be needed, and when; the calls too. In order of starts."""
    axis = Axis(plan.day)
    axis.must_be_even()
    whole = [*_without_a_start(plan, tomorrow, axis)]
    for number in range(1, len(plan.performances) + 1):
        whole += _around(plan, number, axis)
    return tuple(part for window in whole for part in _cut(window, axis, banks))


def _window(
    axis: Axis, kind: Kind, start: int, begins: int, ends: int, at: datetime | None, **more: object
) -> Iterator[Window]:
    if ends <= begins:
        return
    first = Situation(kind, axis.moment(begins), axis.day.signboard, at=at)
    first = replace(first, **more)  # type: ignore[arg-type]  # piece and moods, as named below
    yield Window(start, begins, ends, first, replace(first, now=axis.moment(ends - 1)))


def _around(plan: Plan, number: int, axis: Axis) -> Iterator[Window]:
    """What is said of one start, before it and while it plays."""
    performance = plan.performances[number - 1]
    at = axis.seconds(performance.starts)
    opens = axis.seconds(plan.day.hours.start)
    before = axis.seconds(plan.performances[number - 2].starts) if number > 1 else opens
    soon = at - SOON // timedelta(seconds=1)
    last = number == len(plan.performances)
    moods = frozenset(
        mood for mood, holds in ((Mood.EARLY, number == 1), (Mood.LAST, last)) if holds
    )

    def told(kind: Kind, begins: int, ends: int) -> Iterator[Window]:
        return _window(
            axis,
            kind,
            number,
            begins,
            ends,
            performance.starts,
            piece=performance.piece.name,
            moods=moods,
        )

    if number == 1:
        yield from told(Kind.NOT_OPEN, 0, opens)
    yield from told(Kind.NEXT, before, soon)
    yield from told(Kind.SOON, max(soon, before), at + MINUTE)
    if number > 1:
        yield from told(Kind.CHANGED, before, at + MINUTE)
    for early in plan.day.calls:
        moment = at - early // timedelta(seconds=1)
        yield from told(Kind.CALL, moment, moment + _CALLED_FOR_S)
    yield from _window(
        axis,
        Kind.PLAYING,
        number,
        at,
        axis.seconds(performance.ends) + LATE_END_S,
        None if last else plan.starts[number],
        piece=performance.piece.name,
        moods=frozenset({Mood.LAST}) if last else frozenset(),
    )


def _without_a_start(plan: Plan, tomorrow: datetime | None, axis: Axis) -> Iterator[Window]:
    """What is said of no start of this day."""
    for kind in (Kind.CLOCK_UNSET, Kind.NOT_CAUGHT, Kind.LATE, Kind.CALLED_OFF):
        yield from _window(axis, kind, 0, 0, TWO_DAYS, None)
    over = axis.seconds(plan.starts[-1]) if plan.starts else 0
    if tomorrow is None:
        yield from _window(axis, Kind.NONE_LEFT, 0, over, TWO_DAYS, None)
        return
    first = axis.seconds(tomorrow)
    midnight = first - first % 86_400
    yield from _window(axis, Kind.TOMORROW, 0, over, min(midnight, TWO_DAYS), tomorrow)
    yield from _window(axis, Kind.NOT_OPEN, 0, max(midnight, over), min(first, TWO_DAYS), tomorrow)


def _cut(window: Window, axis: Axis, banks: Sequence[Bank]) -> Iterator[Window]:
    """Where other words are right from some moment on, the window is cut."""
    at = window.situation.at
    if at is None:
        yield window
        return
    near = window.kind in NEAR
    words = _words_at(axis, axis.day.local(at), near, banks)
    begins, said = window.begins, words(window.begins)
    for moment in range(window.begins + 1, window.ends + 1):
        # Of what is not told in minutes, nothing changes but on the minute.
        looked_at = near or moment % MINUTE == 0 or moment == window.ends
        now = words(moment) if looked_at and moment < window.ends else said
        if now != said or moment == window.ends:
            yield _part(window, axis, begins, moment)
            begins, said = moment, now


def _words_at(
    axis: Axis, at: datetime, near: bool, banks: Sequence[Bank]
) -> Callable[[int], tuple[object, ...]]:
    """What the languages say of a start that depends on when they say it."""

    def words(seconds: int) -> tuple[object, ...]:
        now = axis.moment(seconds)
        minutes = minutes_to_go(at, now) if near else None
        return (minutes, *((b.clock.dayparts(at, now), b.clock.days(at, now)) for b in banks))

    return words


def _part(window: Window, axis: Axis, begins: int, ends: int) -> Window:
    first = replace(window.situation, now=axis.moment(begins))
    return replace(
        window,
        begins=begins,
        ends=ends,
        situation=first,
        last=replace(first, now=axis.moment(ends - 1)),
    )
