"""A time is set on the figure itself: it speaks back what it understood, and what comes of it.

The meaning of a time that was dialled or turned to lies here, and its timing where it is entered.
Everything said is an answer in the journal; only what was agreed upon is a promise.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Protocol

from showtime.fair import ShowtimeError
from showtime.fair.wiring import Sets
from showtime.live.answer import answer
from showtime.live.asked import time_of
from showtime.live.clock import Clock
from showtime.live.events import Answered, TimeRefused
from showtime.live.keeper.setnext import OFF, PAST, offered
from showtime.live.running import RunningDay
from showtime.live.state import OF_ITSELF, DayState, Stage
from showtime.wording import Bar, Kind, Situation

BARS = {
    "opens": Bar.CLOSED,
    "closes": Bar.CLOSED,
    "grid": Bar.GRID,
    "quiet": Bar.QUIET,
    "gap": Bar.REST,
    "performances": Bar.CAP,
    "sounding": Bar.CAP,
    "level": Bar.CAP,
    "at_most": Bar.CAP,
    "heat": Bar.HEAT,
    "battery": Bar.CHARGE,
    PAST: Bar.PAST,
    OFF: Bar.OFF,
}
"""What the figure says of a rule; of one that is not here, only that the rules forbid it."""

_SURE_WITHIN = timedelta(minutes=1)
"""A clock that would cost starts can be set by `accept` for so long, as by saying it again."""


class Stall(Protocol):
    """What the conversation needs of the house."""

    @property
    def day(self) -> RunningDay: ...
    def tell(self, words: Sequence[str]) -> str: ...
    def note(self, line: str) -> None: ...


class Setting:
    """The conversation of a set time. `minute` is that of the stall's day, as the wall clock shows
    it; `by` is what it was entered with. Nothing here raises; what goes wrong is a line shown.
    """

    def __init__(self, stall: Stall, clock: Clock) -> None:
        self._stall = stall
        self._clock = clock
        self._costly: tuple[int, datetime] | None = None

    def understood(self, minute: int, sets: Sets, by: str = "hand") -> None:
        """Speak back the time that was understood; it does not count yet."""
        self._stall.note(f"{told(minute)} for {_MEANT[sets]}; it counts in a moment")
        self._say(by, Kind.UNDERSTOOD, self._moment(minute))

    def counts(self, minute: int, sets: Sets, by: str = "hand") -> None:
        """Set it, and say so; or say what forbids it, and the nearest time that is allowed."""
        if sets is Sets.CLOCK:
            self._set_clock(minute, by)
        else:
            self._set_next(["set", told(minute)], self._moment(minute), by)

    def cancelled(self, minute: int, sets: Sets) -> None:
        """What was understood is not to count. Whoever cancels knows it: nothing is said."""
        self._stall.note(f"{told(minute)} is forgotten; nothing was changed")

    def not_caught(self, why: str = "", by: str = "hand") -> None:
        """Something was entered that is no time, or is in doubt."""
        self._stall.note(f"not caught{f': {why}' if why else ''}; nothing was changed")
        self._say(by, Kind.NOT_CAUGHT)

    def accept(self, by: str = "hand") -> bool:
        """Set what was offered, or the clock that was asked about. False: there is neither."""
        now, costly = self._clock.now(), self._costly
        if costly is not None and now - costly[1] <= _SURE_WITHIN:
            self._set_clock(costly[0], by)
            return True
        offer = offered(self._stall.day.state, now)
        if offer is None:
            return False
        self._set_next(["accept"], offer.starts, by)
        return True

    def _set_next(self, words: Sequence[str], moment: datetime, by: str) -> None:
        before = self._stall.day.state
        if not self._told(words):
            return
        after = self._stall.day.state
        if after.doubt:
            self._say(by, Kind.CLOCK_UNSET)
        elif after.refused is not None and after.refused is not before.refused:
            self._refuse(after.refused, by)
        elif after.stage is Stage.HELD:  # no time is promised while nothing may move
            self._stall.day.says(answer(after, self._clock.now()), OF_ITSELF)
        elif _is_to_come(after, moment) and not _owned_up(before, after, moment):
            self._say(by, Kind.AGREED, moment)

    def _refuse(self, refused: TimeRefused, by: str) -> None:
        bars = frozenset(BARS[rule] for rule in refused.rules if rule in BARS)
        offer = refused.offer.starts if refused.offer else None
        why = refused.why if Bar.QUIET in bars else ""
        self._say(by, Kind.REFUSED, offer, why, bars)

    def _set_clock(self, minute: int, by: str) -> None:
        before, self._costly = self._stall.day.state.undo, None
        if not self._told(["clock", told(minute)]):
            return
        if self._stall.day.state.undo is not before:  # an action was taken
            self._say(by, Kind.CLOCK_SET, self._moment(minute))
        else:
            self._costly = minute, self._clock.now()
            self._say(by, Kind.SURE, self._moment(minute))

    def _told(self, words: Sequence[str]) -> bool:
        """Tell the day; False when that meant nothing."""
        try:
            self._stall.tell(words)
        except ShowtimeError as error:
            self._stall.note(str(error))
            return False
        return True

    def _moment(self, minute: int) -> datetime:
        return time_of(self._stall.day.state.day, told(minute))

    def _say(
        self,
        by: str,
        kind: Kind,
        at: datetime | None = None,
        why: str = "",
        bars: frozenset[Bar] = frozenset(),
    ) -> Answered | None:
        """Say it as loudly as the moment allows; after the day has ended, nothing."""
        day = self._stall.day
        if day.state.stage in (Stage.UNBEGUN, Stage.ENDED):
            return None
        board, now = day.state.day.signboard, self._clock.now()
        return day.says(Situation(kind, now, board, at=at, why=why, bars=bars), by)


_MEANT = {Sets.NEXT: "the next performance", Sets.CLOCK: "the clock"}


def told(minute: int) -> str:
    """A minute of the day as the keeper's orders write it."""
    return f"{minute // 60 % 24:02}:{minute % 60:02}"


def _is_to_come(state: DayState, moment: datetime) -> bool:
    return any(slot.starts == moment for slot in state.upcoming)


def _owned_up(before: DayState, after: DayState, moment: datetime) -> bool:
    """True when the figure has told the new time already, with an apology for the old one."""
    last = after.last_answer
    return last is not before.last_answer and last is not None and last.told == moment
