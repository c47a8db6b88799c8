"""The organiser's side of the line: what is told to every stall, and what all of them tell."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from showtime.fair.budgets import Budget
from showtime.fair.hall import HallDay, HallPlan, Joining
from showtime.fairnet.pace import Pace
from showtime.fairnet.view import HallView, PlanVersion
from showtime.live.clock import Clock


class Organiser:
    """One desk that organises the hall on one day. There may be several; the last word counts.

    Everything here may be called from any thread and returns at once. What was said while the
    broker is away is said as soon as it is back. `desk` tells organisers apart.
    """

    def __init__(
        self, hall: HallDay, joining: Joining, clock: Clock, desk: str, pace: Pace = Pace()
    ) -> None:
        raise NotImplementedError

    def view(self) -> HallView:
        """The hall as it is known now."""
        raise NotImplementedError

    def watch(self, changed: Callable[[], None]) -> Callable[[], None]:
        """Call this, on any thread, whenever the view has changed; what ends that."""
        raise NotImplementedError

    def quiet(self, minutes: float, why: str) -> str:
        """Quiet in the hall from now on for so long; the id of the call."""
        raise NotImplementedError

    def lift(self, call: str) -> None:
        """That quiet is over, whoever called it. KeyError: there is none of that id."""
        raise NotImplementedError

    def publish(self, plan: HallPlan) -> PlanVersion:
        """Hand every stall its part of this plan, in place of any before."""
        raise NotImplementedError

    def caps(self, caps: Sequence[Budget], stalls: Sequence[str] = ()) -> None:
        """Set these caps on the day for the named stalls (none: for all), in place of those before.

        FairnetError: only caps on performances and on sounding can be set on the day.
        """
        raise NotImplementedError

    def close(self) -> None:
        """Leave the line. What was told stays told."""
        raise NotImplementedError
