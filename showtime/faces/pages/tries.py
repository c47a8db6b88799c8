"""How often a PIN may be tried: five times, then after ever longer waits. Pure."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

_REMEMBERED = 256
"""Addresses; the one that has not tried for longest is forgotten."""


@dataclass(frozen=True, slots=True)
class Patience:
    """So many tries are free; then `first` seconds, doubled with each, up to `most`."""

    free: int
    first: float
    most: float

    def after(self, tries: int) -> float:
        if tries < self.free:
            return 0.0
        return float(min(self.first * 2 ** min(tries - self.free, 32), self.most))


EACH = Patience(5, 30.0, 3600.0)
ALL = Patience(25, 10.0, 600.0)
"""From all addresses together: whoever changes addresses waits too, and with them the keeper, who
still has the terminal."""


@dataclass(slots=True)
class _Count:
    tries: int = 0
    last: float = 0.0


class Tries:
    """Counts tries by address and in all. Times are seconds of a clock that never runs backwards.

    A try counts from when it begins, so that many at once are as many.
    """

    def __init__(self) -> None:
        self._each: OrderedDict[str, _Count] = OrderedDict()
        self._all = _Count()

    def wait(self, address: str, now: float) -> float:
        """Seconds until this address may try; 0 when it may."""
        mine = self._each.get(address, _Count())
        return max(_left(EACH, mine, now), _left(ALL, self._all, now))

    def begun(self, address: str, now: float) -> None:
        mine = self._each.setdefault(address, _Count())
        self._each.move_to_end(address)
        while len(self._each) > _REMEMBERED:
            self._each.popitem(last=False)
        for count in (mine, self._all):
            count.tries, count.last = count.tries + 1, now

    def was_right(self, address: str) -> None:
        mine = self._each.pop(address, _Count())
        self._all.tries = max(0, self._all.tries - mine.tries)


def _left(patience: Patience, count: _Count, now: float) -> float:
    return max(0.0, count.last + patience.after(count.tries) - now) if count.tries else 0.0
