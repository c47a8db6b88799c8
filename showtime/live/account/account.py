"""The account of one day: facts, each from the events alone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property

from showtime.fair import Day, Performance, Stall
from showtime.fair.wishes import mean_wait
from showtime.live import events as happened
from showtime.live.account.happenings import Happening, happenings
from showtime.live.account.reading import Read
from showtime.live.account.whose import day_of_journal
from showtime.live.events import Answered, Event, Slot
from showtime.live.fold import fold
from showtime.live.keeper.mend import performed
from showtime.live.ledger import promises_at
from showtime.live.state import CALL, OF_ITSELF, DayState, Promise, Stage
from showtime.wording import Kind

_SETTING = (
    *(Kind.UNDERSTOOD, Kind.NOT_CAUGHT, Kind.REFUSED),
    *(Kind.AGREED, Kind.CLOCK_SET, Kind.SURE),
)
"""What is said while a time is set on the figure: nobody asked when the next one is."""


@dataclass(frozen=True)
class Account:
    """A day as its journal has it. `day` is as it was to be; `now` is when promises are judged.

    `limits_known` is False for a day that the settings do not name: its hours and limits are then
    taken from the stall's first day. `unknown` are pieces that the settings no longer have.
    """

    day: Day
    state: DayState
    read: Read
    now: datetime
    limits_known: bool = True
    unknown: tuple[str, ...] = ()

    @property
    def events(self) -> tuple[Event, ...]:
        return self.read.events

    @property
    def until(self) -> datetime | None:
        """How far the record goes."""
        return self.state.last_at

    @property
    def ended(self) -> bool:
        """True when the program was ended on purpose."""
        return self.state.stage is Stage.ENDED

    @property
    def running(self) -> bool:
        """True for a day that is not over."""
        return not self.ended and self.now < self.state.day.hours.end

    @cached_property
    def planned(self) -> tuple[Slot, ...] | None:
        """The plan with which the day began; None where that part of the journal is lost."""
        began = [each for each in self.events if isinstance(each, happened.DayBegan)]
        return began[0].slots if began else None

    @cached_property
    def asks(self) -> tuple[datetime, ...]:
        """When somebody asked for the next one, in order of time."""
        return tuple(sorted(each.at for each in self.events if _is_ask(each)))

    @cached_property
    def waits(self) -> tuple[timedelta | None, ...]:
        """For each ask, the time to the next start that there was; None: none came any more."""
        starts = sorted(played.started for played in self.state.played)
        return tuple(
            next((start - asked for start in starts if start >= asked), None) for asked in self.asks
        )

    @cached_property
    def answers(self) -> tuple[Answered, ...]:
        """Everything that was said."""
        return tuple(each for each in self.events if isinstance(each, Answered))

    @cached_property
    def performances(self) -> tuple[Performance, ...]:
        """What sounded, for as long as it did."""
        return performed(self.state)

    @cached_property
    def planned_performances(self) -> tuple[Performance, ...]:
        return tuple(Performance(s.starts, self.day.piece(s.piece)) for s in self.planned or ())

    @cached_property
    def promised_wait(self) -> timedelta | None:
        """The mean wait that the plan promised a visitor who comes at any moment."""
        if self.planned is None:
            return None
        return mean_wait(self.day.hours, [slot.starts for slot in self.planned])

    @cached_property
    def mean_wait(self) -> timedelta | None:
        """The same by the starts that there were; None while the day is not over."""
        if self.running or self.planned is None:
            return None
        hours = self.state.day.hours
        starts = [p.started for p in self.state.played if hours.holds(p.started)]
        return mean_wait(hours, starts)

    @cached_property
    def not_played(self) -> tuple[Slot, ...]:
        """Planned starts whose time is past and at which nothing started."""
        played = {each.slot.starts for each in self.state.played}
        past = [s for s in self.planned or () if not self.running or s.starts < self.now]
        return tuple(slot for slot in past if slot.starts not in played)

    @cached_property
    def promises(self) -> tuple[Promise, ...]:
        ended = self.until if self.ended else None
        return promises_at(self.state, ended or self.now)

    @cached_property
    def happenings(self) -> tuple[Happening, ...]:
        return happenings(self.events)

    @cached_property
    def highest_measured_k(self) -> float | None:
        """The highest rise of the motors that the figure measured, in kelvin above ambient."""
        measured = [each for each in self.events if isinstance(each, happened.Measured)]
        rises = [each.rise_mk for each in measured if each.rise_mk is not None]
        return max(rises) / 1000 if rises else None


def account_of(stall: Stall, read: Read, now: datetime, fallback: Day | None = None) -> Account:
    """The account of what was read. JournalError: it is another stall's."""
    day, known = day_of_journal(stall, read.events, fallback)
    stalls_own = {piece.name for each in stall.days[:1] for piece in each.pieces}
    unknown = [piece.name for piece in day.pieces if piece.name not in stalls_own]
    state = fold(DayState(day, stall.keep_within), read.events)
    return Account(day, state, read, now, known, tuple(unknown))


def _is_ask(event: Event) -> bool:
    if isinstance(event, happened.Asked):
        return True
    if not isinstance(event, Answered):
        return False
    return event.trigger not in (CALL, OF_ITSELF) and event.kind not in _SETTING
