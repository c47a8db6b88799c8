"""Who may not sound beside whom: the stalls that a rule binds, and sets of them that are too large.

Sets of stalls are whole numbers here: stall n is in a set when its bit n is 1.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import islice

from showtime.fair.hall import HallDay, Place, Together


class Bound:
    """The stalls of a hall as one rule binds them."""

    def __init__(self, places: Sequence[Place], together: Together) -> None:
        self.together = together
        self._near = [0] * len(places)
        for number, place in enumerate(places):
            for other in range(number):
                if together.binds(place, places[other]):
                    self._near[number] |= 1 << other
                    self._near[other] |= 1 << number

    def too_many(self, stall: int, sounding: int) -> int | None:
        """Those of `sounding` with whom `stall` would make a set of more than may sound at once.

        In such a set all are bound to each other. None: there is no such set, and `stall` may
        sound beside them. It is in no set with itself.
        """
        near, most = self._near[stall] & sounding, self.together.most
        if near.bit_count() < most:
            return None
        if most <= 1 or self.together.within_m is None:
            return near
        found = 0
        for other in members(near):
            if not found >> other & 1:
                found |= self._set_with(other, near, most)
        return found or None

    def _set_with(self, stall: int, among: int, size: int) -> int:
        """`size` stalls bound to each other, `stall` one of them; none when there are none."""
        others = self._bound_set(among & self._near[stall], size - 1)
        return 0 if others is None else others | 1 << stall

    def _bound_set(self, among: int, size: int) -> int | None:
        """`size` stalls of `among` that are all bound to each other."""
        if size <= 0:
            return 0
        among = self._bound_to(among, size - 1)
        while (count := among.bit_count()) >= size:
            if self._bound_to(among, count - 1) == among:
                return sum(1 << stall for stall in islice(members(among), size))
            stall = next(members(among))
            others = self._bound_set(among & self._near[stall], size - 1)
            if others is not None:
                return others | 1 << stall
            among = self._bound_to(among & ~(1 << stall), size - 1)
        return None

    def _bound_to(self, among: int, least: int) -> int:
        """Those of `among` that are bound to at least so many others that are left."""
        while True:
            kept = among
            for stall in members(among):
                if (self._near[stall] & kept).bit_count() < least:
                    kept &= ~(1 << stall)
            if kept == among:
                return among
            among = kept


def bounds(hall: HallDay) -> tuple[Bound, ...]:
    """The hall's stalls as each of its rules binds them, in order."""
    return tuple(_bound(hall.places, together) for together in hall.together)


@lru_cache(maxsize=32)
def _bound(places: tuple[Place, ...], together: Together) -> Bound:
    """A large hall is asked again and again, and stands as it stands."""
    return Bound(places, together)


def members(stalls: int) -> Iterator[int]:
    """The numbers of the stalls in a set, in order."""
    while stalls:
        lowest = stalls & -stalls
        yield lowest.bit_length() - 1
        stalls ^= lowest
