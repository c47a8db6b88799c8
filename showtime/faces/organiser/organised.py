"""The hall that an organiser's node is in charge of, as its faces see it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING

from showtime.faces.organiser.documents import Document, status
from showtime.faces.organiser.sight import Sight
from showtime.faces.organiser.sighting import sight
from showtime.fair.budgets import Budget
from showtime.fair.hall import HallDay
from showtime.planning.hall import sounding_groups

if TYPE_CHECKING:
    from showtime.fairnet import Organiser


class OrganisedHall:
    """What is shown of the hall, and what is asked of it on the day."""

    def __init__(self, hall: HallDay, organiser: Organiser) -> None:
        self._hall = hall
        self._groups = sounding_groups(hall)
        self._organiser = organiser

    def watch(self, changed: Callable[[], None]) -> Callable[[], None]:
        """Call this, on any thread, whenever the hall has changed; what ends that."""
        return self._organiser.watch(changed)

    def sight(self) -> Sight:
        return sight(self._hall, self._groups, self._organiser.view())

    def time_of_day(self) -> str:
        """To the second, on the hall's clock."""
        return f"{self._hall.local(self._organiser.view().now):%H:%M:%S}"

    def status(self) -> Document:
        view = self._organiser.view()
        return status(self._hall, view, sight(self._hall, self._groups, view))

    def quiet(self, minutes: float, why: str) -> str:
        """Quiet from now on; the id of the call.

        Of two calls the longer holds: one that ends no later than this one is not needed any more.
        """
        view = self._organiser.view()
        ends = view.now + timedelta(minutes=minutes)
        call = self._organiser.quiet(minutes, why)
        for each in view.quiet:
            if each.left(view.now) and each.span.holds(view.now) and each.span.end <= ends:
                self.lift(each.call)
        return call

    def lift(self, call: str) -> bool:
        """That quiet is over; False when there is none of that id."""
        try:
            self._organiser.lift(call)
        except KeyError:
            return False
        return True

    def cap(self, caps: Sequence[Budget]) -> None:
        """These caps, of performances or of sounding, hold at every stall, beside the file's.

        They take the place of those set before; none: those are lifted.
        """
        self._organiser.caps(caps)
