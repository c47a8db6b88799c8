"""What a search for a joint plan knows at any time, shared by all its levels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.hall.alone import Alone
from showtime.planning.hall.counts import Counts
from showtime.planning.hall.improving import Improver
from showtime.planning.hall.joint import Joint
from showtime.planning.hall.part import Found, Part, Terms

WHOLE_STALLS = 12
"""A hall of no more stalls is decided as a whole, to the end if there is time."""


@dataclass
class Search:
    """The best plan so far, what none can pass, and what later levels have to keep.

    `worth` is that of each choice in whole steps. `least` is how many performances each stall has
    to have, and so `many` stalls what is `above`.
    """

    joint: Joint
    alone: Alone
    worth: Floats
    chosen: Ints
    remaining: Callable[[], float]
    workers: int
    told: Callable[[str], None]
    counts: Counts = field(init=False)
    improver: Improver = field(init=False)
    least: Ints = field(init=False)
    above: Ints = field(init=False)
    many: int = 0

    def __post_init__(self) -> None:
        self.counts = Counts(self.joint, self.alone, self.worth)
        self.improver = Improver(self.joint, self.chosen, self.remaining, self.workers)
        self.least = np.zeros(len(self.joint.booths), dtype=np.int64)
        self.above = self.least.copy()

    @property
    def small(self) -> bool:
        return len(self.joint.booths) <= WHOLE_STALLS

    def until(self, part: float) -> Callable[[], float]:
        """What remains of so large a part of the time that remains now."""
        kept = self.remaining() * (1 - part)
        return lambda: self.remaining() - kept

    def whole(self, asked: Callable[[Part], Terms], remaining: Callable[[], float]) -> Found:
        """The whole hall decided at once."""
        stalls = range(len(self.joint.booths))
        part = Part(self.joint, stalls, np.zeros(0, np.int64), also=self.chosen)
        return part.best(asked(part), remaining, self.chosen)

    def take(self, chosen: Ints) -> None:
        self.chosen = chosen
        self.improver.chosen = chosen

    def shares(self, chosen: Ints | None = None) -> Floats:
        """What each stall has of what it could have alone."""
        given = self.joint.counts(self.chosen if chosen is None else chosen)
        alone = self.alone.counts
        return np.where(alone > 0, given / np.maximum(alone, 1), 1.0)

    def floors(self) -> dict[int, int]:
        """What each stall has to keep when only some are decided anew: stalls above stay so."""
        given = self.joint.counts(self.chosen)
        kept = np.where(given >= self.above, self.above, self.least)
        return dict(enumerate(kept.tolist()))
