"""The day of the whole fair that its organiser is in charge of, and the clock that it goes by."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from showtime.fair import instant
from showtime.fair.hall import Fair, HallDay
from showtime.live.asked import QuestionError, moment_of
from showtime.live.clock.kernel import Machine, ThisMachine
from showtime.live.clock.steady import SteadyClock
from showtime.live.clock.trust import Doubted, judged, pretended

_SET_UP = timedelta(hours=36)
"""So long before it opens a day may already be run: the hall is being set up."""


@dataclass(frozen=True)
class LiveHall:
    """A day of the fair as it is lived: its clock, and why that is not believed; empty when it is.

    `turns_at` is when the next day of the fair takes its place; None: it is the last.
    """

    fair: Fair
    hall: HallDay
    clock: SteadyClock

    @property
    def doubt(self) -> str:
        trust = self.clock.trust
        return trust.why if isinstance(trust, Doubted) else ""

    @property
    def turns_at(self) -> datetime | None:
        following = self._following
        if following is None:
            return None
        midnight = datetime.combine(following, time(), tzinfo=self.fair.timezone)
        return max(instant(midnight), self.hall.hours.end)

    def following(self) -> LiveHall:
        """The next day of the fair. ValueError: there is none."""
        if self._following is None:
            raise ValueError("the last day of the fair has none that follows")
        return LiveHall(self.fair, _hall(self.fair, self._following), self.clock)

    @property
    def _following(self) -> date | None:
        return next((each for each, _ in self.fair.hours if each > self.hall.date), None)


def live_hall(fair: Fair, day: str, as_if: str, machine: Machine | None = None) -> LiveHall:
    """The fair's day that it is, or is to be taken for, and its clock. QuestionError: it is none.

    A clock that is not believed says nothing of the day: then it is the one that is named, or the
    first.
    """
    machine = machine or ThisMachine()
    if as_if:
        trust = pretended(moment_of(fair.stands[0].stall, as_if, "--as-if"))
        return LiveHall(fair, _day(fair, day, trust.at), SteadyClock(machine, trust))
    found = judged(machine.read(), fair_ends=fair.hours[-1][1].end)
    moment = found.at
    if isinstance(found, Doubted):
        named = next((each for each, _ in fair.hours if day == each.isoformat()), None)
        moment = dict(fair.hours)[named or fair.hours[0][0]].start
    return LiveHall(fair, _day(fair, day, moment), SteadyClock(machine, found))


def _day(fair: Fair, wanted: str, moment: datetime) -> HallDay:
    today = moment.astimezone(fair.timezone).date()
    open_now = next((each for each, hours in fair.hours if hours.holds(moment)), None)
    coming = next((e for e, h in fair.hours if moment < h.start <= moment + _SET_UP), None)
    found = open_now or (today if today in dict(fair.hours) else coming)
    if found is None or (wanted and wanted != found.isoformat()):
        first = fair.hours[0][1].start.astimezone(fair.timezone)
        days = ", ".join(str(each) for each, _ in fair.hours)
        raise QuestionError(
            f"{moment.astimezone(fair.timezone):%Y-%m-%d %H:%M} is not on "
            f"{f'the day {wanted}' if wanted else 'a fair day'}; the fair days are {days}. "
            f"To practise: showtime hall --as-if {first:%Y-%m-%dT%H:%M}"
        )
    return _hall(fair, found)


def _hall(fair: Fair, day: date) -> HallDay:
    hall = fair.hall(day)
    assert hall is not None  # it is one of the fair's own dates
    return hall
