"""A whole fair: its stalls in their places, what they owe to each other, and their joint plan."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from functools import cached_property
from math import hypot
from zoneinfo import ZoneInfo

from showtime.fair.day import Day, Plan, QuietInterval, Stall
from showtime.fair.joining import Joining as Joining
from showtime.fair.piece import Performance
from showtime.fair.span import Span, Where


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where a stall stands on the hall's drawing: metres to the right, and up."""

    x_m: float
    y_m: float

    def distance_m(self, other: Place) -> float:
        return hypot(self.x_m - other.x_m, self.y_m - other.y_m)


@dataclass(frozen=True, slots=True)
class Together:
    """Of stalls that all stand within `within_m` of each other, at most `most` sound at once.

    `within_m` None: of all stalls in the hall. A distance of just `within_m` is within it.
    """

    most: int
    within_m: float | None = None
    because: str = ""
    where: Where | None = field(default=None, compare=False)

    @property
    def why(self) -> str:
        stalls = "1 stall sounds" if self.most == 1 else f"{self.most} stalls sound"
        near = "in the hall" if self.within_m is None else f"within {self.within_m:g} m"
        limit = f"at most {stalls} at once {near}"
        return f"{self.because}: {limit}" if self.because else limit

    def binds(self, one: Place, other: Place) -> bool:
        """True when two stalls in these places count together."""
        return self.within_m is None or one.distance_m(other) <= self.within_m


@dataclass(frozen=True, slots=True)
class HallNoise:
    """At a stall, the energy-mean level of all others together stays at or below `limit_dba`.

    The mean is over any span of `over`; with `whole_day` over the stall's open hours, however
    long. `at` are the stalls that it holds for; none named: every one.
    """

    limit_dba: float
    over: timedelta
    whole_day: bool = False
    at: tuple[str, ...] = ()
    because: str = ""
    where: Where | None = field(default=None, compare=False)

    def holds_at(self, stall: str) -> bool:
        return not self.at or stall in self.at


@dataclass(frozen=True, slots=True)
class Stand:
    """A stall, and where it stands. `file`: its settings, as the fair's file names them."""

    stall: Stall
    place: Place
    file: str = ""

    @property
    def name(self) -> str:
        return self.stall.signboard.stall


@dataclass(frozen=True)
class HallDay:
    """One day of the whole fair: the stalls that are open on it, and the rules between them."""

    fair: str
    timezone: ZoneInfo
    date: date
    hours: Span
    days: tuple[Day, ...]
    places: tuple[Place, ...]
    together: tuple[Together, ...] = ()
    noise: tuple[HallNoise, ...] = ()

    def __post_init__(self) -> None:
        if len(self.days) != len(self.places) or len(set(self.names)) != len(self.names):
            raise ValueError("a hall needs stalls, each with a place and a name of its own")

    @cached_property
    def names(self) -> tuple[str, ...]:
        return tuple(day.signboard.stall for day in self.days)

    def number(self, stall: str) -> int:
        """Which of the days is that stall's; KeyError when there is none."""
        for number, name in enumerate(self.names):
            if name == stall:
                return number
        raise KeyError(stall)

    def local(self, moment: datetime) -> datetime:
        """The same moment on the hall's wall clock."""
        return moment.astimezone(self.timezone)


@dataclass(frozen=True)
class Fair:
    """A fair's settings as read: its days in order, and its stalls."""

    name: str
    timezone: ZoneInfo
    hours: tuple[tuple[date, Span], ...]
    stands: tuple[Stand, ...]
    together: tuple[Together, ...] = ()
    noise: tuple[HallNoise, ...] = ()

    def hall(self, wanted: date) -> HallDay | None:
        """The day of that date with the stalls that are open on it; None: it is no fair day."""
        hours = dict(self.hours).get(wanted)
        if hours is None:
            return None
        open_ = [(stand, day) for stand in self.stands if (day := stand.stall.day(wanted))]
        return HallDay(
            self.name,
            self.timezone,
            wanted,
            hours,
            tuple(day for _, day in open_),
            tuple(stand.place for stand, _ in open_),
            self.together,
            self.noise,
        )


class HallWish(StrEnum):
    """What a joint plan is improved by, in this order."""

    SMALLEST_SHARE = "smallest_share"
    NEXT_SHARES = "next_shares"
    WORTH = "worth"
    WAIT = "wait"
    ROUND_TIMES = "round_times"


@dataclass(frozen=True, slots=True)
class HallLevel:
    """One wish as the joint plan fulfils it; no plan that keeps all before can pass `bound`.

    `worth` and shares are better when larger, `wait` (minutes, the sum of the stalls' mean waits)
    and `round_times` (sum of ranks) when smaller.
    """

    name: HallWish
    value: float
    bound: float

    @property
    def gap(self) -> float:
        """How far the best possible may lie from the value, as a part of the larger; 0: proven."""
        apart, largest = abs(self.value - self.bound), max(abs(self.value), abs(self.bound))
        return apart / largest if apart > 1e-9 * max(1.0, abs(self.bound)) else 0.0

    @property
    def proven(self) -> bool:
        return self.gap == 0.0


@dataclass(frozen=True)
class HallPlan:
    """The joint plan of one day: each stall's performances, in the order of the hall's days.

    `alone` is how many performances each stall could have if all others kept silent.
    """

    hall: HallDay
    performances: tuple[tuple[Performance, ...], ...]
    alone: tuple[int, ...]
    levels: tuple[HallLevel, ...] = ()
    seconds: float = 0.0

    @property
    def shares(self) -> tuple[float, ...]:
        """What each stall has of what it could have alone; 1 for a stall that could have none."""
        pairs = zip(self.performances, self.alone, strict=True)
        return tuple(len(given) / alone if alone else 1.0 for given, alone in pairs)

    @property
    def smallest_share(self) -> float:
        return min(self.shares, default=1.0)

    @property
    def jain(self) -> float:
        """Fairness of the shares, 1 for equal ones, 1/n when one stall has all.

        (sum x)^2 / (n sum x^2): Jain, Chiu and Hawe, DEC-TR-301 (1984).
        """
        squares = sum(share**2 for share in self.shares)
        return sum(self.shares) ** 2 / (len(self.shares) * squares) if squares else 1.0

    def plan_of(self, stall: str) -> Plan:
        """That stall's part of it; KeyError when there is no such stall."""
        number = self.hall.number(stall)
        return Plan(self.hall.days[number], self.performances[number])


@dataclass(frozen=True)
class Handout:
    """What a stall is handed of the joint plan: its performances, and when it must be silent.

    `quiet` are the times in which others sound with whom it may not sound together.
    """

    stall: str
    date: date
    performances: tuple[Performance, ...]
    quiet: tuple[QuietInterval, ...] = ()
