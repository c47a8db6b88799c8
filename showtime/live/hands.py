"""The house as a hand finds it: what buttons, dial, knobs and a sensor may do to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from showtime.fair import ShowtimeError
from showtime.fair.wiring import Sets
from showtime.live.answer import answer, call
from showtime.live.asked import QuestionError
from showtime.live.clock import Clock
from showtime.live.keeper.setnext import may_be_set
from showtime.live.saying import wants_call
from showtime.live.setting import Setting
from showtime.live.state import DayState, Stage
from showtime.wording import Kind

if TYPE_CHECKING:
    from showtime.live.house import House

_STEPS = timedelta(minutes=5)
_MOST = 12
"""So many times are offered to be stepped through, before the first one comes again."""


class Hands:
    """What is done by hand, in the words of the keeper's orders. Nothing here raises or waits for
    the figure to have spoken; what goes wrong is a line for the keeper.

    Times are in minutes of the stall's day.
    """

    def __init__(self, house: House, clock: Clock) -> None:
        self._house = house
        self._clock = clock
        self._setting = Setting(house, clock)
        self._steps: tuple[object, tuple[int, ...]] | None = None

    def micros(self) -> int:
        """Microseconds; never run backwards, whatever befalls the clocks."""
        return round(self._clock.monotonic() * 1_000_000)

    @property
    def speaking(self) -> bool:
        """True while the figure speaks."""
        return self._house.day.is_speaking

    def do(self, deed: Sequence[str], by: str) -> None:
        """An order, or `ask`. `by` is what it came from. Nothing is done once the day has ended."""
        if self._house.day.state.stage is Stage.ENDED:
            return
        if deed[0] == "ask":
            self._house.day.asked(by)
        else:
            self._order(deed)

    def wrong(self, deed: Sequence[str]) -> str:
        """Why such an order means nothing; empty when it does."""
        if deed[0] in ("ask", "end"):
            return ""
        try:
            self._house.tell(["would", *deed])
        except QuestionError as error:
            return str(error)
        return ""

    def gathered(self, by: str) -> bool:
        """People stand before the figure: call them to the next performance, if it may raise its
        voice now, the fair is open, and nobody was answered just now. True when they were called.
        """
        day, now = self._house.day, self._clock.now()
        state = day.state
        slot = state.next
        open_now = slot is not None and state.day.hours.holds(now)
        if slot is None or not open_now or self.speaking or not wants_call(state, slot, now):
            return False
        if answer(state, now).kind in (Kind.NEXT, Kind.SOON):
            day.says(call(state, slot, now), by)
        else:
            day.asked(by)  # a told time has changed: an apology comes first
        return True

    def hours(self) -> tuple[int, int, int | None]:
        """When the stall opens and closes, and the present, None while that is not known.

        Hours that end after midnight close beyond 1440.
        """
        state = self._house.day.state
        hours = state.day.hours
        opens = _minute(state, hours.start)
        closes = opens + (hours.end - hours.start) // timedelta(minutes=1)
        return opens, closes, None if state.doubt else _minute(state, self._clock.now())

    def allowed(self, sets: Sets) -> Sequence[int]:
        """The times that may be set, the soonest first, and no more than a dozen of them.

        Found once for all the steps of a minute: judging each takes the verifier a while, and what
        was stepped to is judged again when it counts.
        """
        state, now = self._house.day.state, self._clock.now()
        asked = sets, _minute(state, now), state.upcoming, state.stage
        if self._steps is None or self._steps[0] != asked:
            self._steps = asked, tuple(_steps(state, now, sets))
        return self._steps[1]

    def understood(self, minute: int, sets: Sets) -> None:
        """A time was set by hand; it does not count yet."""
        self._setting.understood(minute, sets)

    def counts(self, minute: int, sets: Sets) -> None:
        """Set it; where a rule forbids it, say so and offer the nearest that is allowed."""
        self._setting.counts(minute, sets)

    def cancelled(self, minute: int, sets: Sets) -> None:
        """What was understood is not to count."""
        self._setting.cancelled(minute, sets)

    def not_caught(self, why: str) -> None:
        """Something was dialled that is no time, or is in doubt."""
        self._setting.not_caught(why)

    def accept(self) -> bool:
        """Set the time that was offered in place of a forbidden one. False: none was."""
        return self._setting.accept()

    def _order(self, words: Sequence[str]) -> None:
        try:
            self._house.tell(words)
        except ShowtimeError as error:
            self._house.note(str(error))


def _steps(state: DayState, now: datetime, sets: Sets) -> Iterator[int]:
    step = state.day.wishes.start_on if sets is Sets.NEXT else _STEPS
    moment, found = _grid_after(state, now, step), 0
    while moment <= state.day.hours.end and found < _MOST:
        if sets is Sets.CLOCK or may_be_set(state, now, moment):
            found += 1
            yield _minute(state, moment)
        moment += step


def _minute(state: DayState, moment: datetime) -> int:
    local = state.day.local(moment)
    return local.hour * 60 + local.minute


def _grid_after(state: DayState, now: datetime, step: timedelta) -> datetime:
    """The first moment from `now` on that lies on a grid counted from the local hour."""
    local = state.day.local(now)
    into_hour = timedelta(
        minutes=local.minute, seconds=local.second, microseconds=local.microsecond
    )
    return max(now - into_hour + -(-into_hour // step) * step, state.day.hours.start)
