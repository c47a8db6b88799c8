"""Setting the time with one button: short presses step, a long one accepts.

The times that are allowed are handed in, so what is accepted is never refused. Each step is spoken
back; a pause gives up and leaves everything as it was. Times of presses are whole microseconds on
any axis that only grows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Generic, TypeVar

T = TypeVar("T")

PATIENCE = 10_000_000
"""Nothing was pressed for so long: the keeper has been called away."""


class Outcome(Enum):
    """What a press, or the lack of one, came to."""

    OFFERED = "offered"
    """This time is spoken; nothing counts yet."""
    ACCEPTED = "accepted"
    CANCELLED = "cancelled"
    """Given up after a pause; what had been offered is named."""
    NOTHING_ALLOWED = "nothing allowed"


@dataclass(frozen=True)
class Step(Generic[T]):
    """What came of it, and the time in question."""

    outcome: Outcome
    time: T | None


class Stepping(Generic[T]):
    """One setting after another. A setting begins with the first step and ends when accepted,
    cancelled or given up. Ask for a `tick` a few times a second.
    """

    def __init__(self, patience: int = PATIENCE) -> None:
        self._patience = patience
        self._times: tuple[T, ...] = ()
        self._at = 0
        self._pressed = 0

    @property
    def offered(self) -> T | None:
        """The time that a long press would accept; None between settings."""
        return self._times[self._at] if self._times else None

    def step(self, at: int, allowed: Sequence[T]) -> Step[T]:
        """A short press: the first of the times that are allowed, in their order, then the next
        ones; after the last, the first again. `allowed` may have changed since the step before:
        it goes on behind the time that was offered last, where that is still among them.
        """
        before = self.offered
        self._pressed = at
        self._times = tuple(allowed)
        if not self._times:
            return Step(Outcome.NOTHING_ALLOWED, None)
        known = before is not None and before in self._times
        self._at = (self._times.index(before) + 1) % len(self._times) if known else 0
        return Step(Outcome.OFFERED, self.offered)

    def accept(self) -> Step[T] | None:
        """A long press. None when nothing was offered."""
        return self._end(Outcome.ACCEPTED)

    def busy(self, at: int) -> None:
        """The figure still speaks: the pause begins anew."""
        self._pressed = max(at, self._pressed)

    def tick(self, now: int) -> Step[T] | None:
        """Time has passed."""
        return self._end(Outcome.CANCELLED) if now - self._pressed >= self._patience else None

    def _end(self, outcome: Outcome) -> Step[T] | None:
        time, self._times = self.offered, ()
        return None if time is None else Step(outcome, time)
