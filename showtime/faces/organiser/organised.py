"""The hall that an organiser's node is in charge of, as its faces see it."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from showtime.faces.organiser.sight import Sight
from showtime.faces.organiser.sighting import sight
from showtime.fair.hall import HallDay
from showtime.planning.hall import sounding_groups

if TYPE_CHECKING:
    from showtime.fairnet import Organiser


class OrganisedHall:
    """What is shown of the hall, and the two things that are asked of it on the day."""

    def __init__(self, hall: HallDay, organiser: Organiser) -> None:
        self._hall = hall
        self._groups = sounding_groups(hall)
        self._organiser = organiser

    def sight(self) -> Sight:
        return sight(self._hall, self._groups, self._organiser.view())

    def quiet(self, minutes: int, why: str) -> str:
        """Quiet from now on. What comes of it is in the sight, so that nothing is said here.

        Of two calls the longer holds: one that ends no later than this one is not needed any more.
        """
        view = self._organiser.view()
        ends = view.now + timedelta(minutes=minutes)
        self._organiser.quiet(minutes, why)
        for each in view.quiet:
            if each.left(view.now) and each.span.holds(view.now) and each.span.end <= ends:
                self._end(each.call)
        return ""

    def lift(self, call: str) -> str:
        return "The quiet is lifted." if self._end(call) else "That quiet is over already."

    def _end(self, call: str) -> bool:
        try:
            self._organiser.lift(call)
        except KeyError:
            return False
        return True
