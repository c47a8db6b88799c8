"""One day of a stall with everything that limits it, and the plan of that day."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from showtime.fair.budgets import Budget, Neighbour
from showtime.fair.controller import Controller
from showtime.fair.joining import Joining
from showtime.fair.piece import Answers, Performance, Piece
from showtime.fair.span import Span, Where
from showtime.fair.speaking import Speaking
from showtime.fair.wiring import Input
from showtime.fair.wishes import Level, Wishes, mean_wait, waits


@dataclass(frozen=True, slots=True)
class QuietInterval:
    """A time in which nothing may sound, widened by `margin` on both sides.

    `answers`: whether a question is answered softly or by words on the screen alone.
    """

    why: str
    span: Span
    margin: timedelta = timedelta(0)
    answers: Answers = Answers.SILENT
    where: Where | None = field(default=None, compare=False)

    @property
    def forbidden(self) -> Span:
        """The span with its margin: no performance sounds in it."""
        return self.span.widened(self.margin)


@dataclass(frozen=True, slots=True)
class Signboard:
    """The names a stall goes by, its phrase banks (the first is the default) and its zone."""

    fair: str
    stall: str
    figure: str
    languages: tuple[str, ...]
    timezone: ZoneInfo
    answers_in: tuple[str, ...] = ()

    @property
    def spoken(self) -> tuple[str, ...]:
        """The languages of each answer, one after the other."""
        return self.answers_in or self.languages[:1]


@dataclass(frozen=True)
class Day:
    """One day of one stall: all that a plan must respect and all that it should try for."""

    signboard: Signboard
    date: date
    hours: Span
    pieces: tuple[Piece, ...]
    quiet: tuple[QuietInterval, ...] = ()
    gap: timedelta = timedelta(0)
    budgets: tuple[Budget, ...] = ()
    wishes: Wishes = field(default_factory=Wishes)
    calls: tuple[timedelta, ...] = ()
    where: Where | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        names = [piece.name for piece in self.pieces]
        if not names or len(set(names)) != len(names):
            raise ValueError("a day needs pieces, each with a name of its own")

    def local(self, moment: datetime) -> datetime:
        """The same moment on the stall's wall clock."""
        return moment.astimezone(self.signboard.timezone)

    def piece(self, name: str) -> Piece:
        """The piece of that name; KeyError when there is none."""
        for piece in self.pieces:
            if piece.name == name:
                return piece
        raise KeyError(name)

    def rest_after(self, piece: Piece) -> timedelta:
        """The least time from the end of `piece` to the next start."""
        return max(self.gap, piece.reset)

    def on_grid(self, moment: datetime) -> bool:
        """True when a start there lies on the `start_on` grid, counted from the local hour."""
        local = self.local(moment)
        into_hour = timedelta(
            minutes=local.minute, seconds=local.second, microseconds=local.microsecond
        )
        return not into_hour % self.wishes.start_on

    def quiet_at(self, moment: datetime) -> QuietInterval | None:
        """The quiet interval (without its margin) that holds `moment`, if any."""
        return next((quiet for quiet in self.quiet if quiet.span.holds(moment)), None)


@dataclass(frozen=True)
class Plan:
    """The performances of one day, in order, with the levels reached and the planner's seconds."""

    day: Day
    performances: tuple[Performance, ...]
    levels: tuple[Level, ...] = ()
    seconds: float = 0.0

    @property
    def starts(self) -> list[datetime]:
        return [performance.starts for performance in self.performances]

    @property
    def mean_wait(self) -> timedelta:
        return mean_wait(self.day.hours, self.starts)

    @property
    def longest_wait(self) -> timedelta:
        return max(waits(self.day.hours, self.starts))


@dataclass(frozen=True)
class Stall:
    """A stall's settings as read: its days in order, and what is the same on all of them.

    A promise counts as kept when the performance starts within `keep_within` of it. `neighbours`
    hear the figure; `phone` is the keeper's, as it was typed, for them to call. `joining` is how
    it joins the fair's line, if there is one.
    """

    signboard: Signboard
    days: tuple[Day, ...]
    speaking: Speaking = field(default_factory=Speaking)
    keep_within: timedelta = timedelta(seconds=60)
    controller: Controller | None = None
    inputs: tuple[Input, ...] = ()
    neighbours: tuple[Neighbour, ...] = ()
    phone: str = ""
    joining: Joining | None = None

    def day(self, wanted: date) -> Day | None:
        """The day of that date, or None when it is no fair day."""
        return next((day for day in self.days if day.date == wanted), None)
