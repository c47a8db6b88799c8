"""What devices do with what they hear, and the stall that they do it to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from showtime.fair.wiring import Sets
from showtime.triggers.signals import Signal

EASY = 0.25
"""Seconds between ticks where only long pauses are waited for."""

CLOSE = 0.01
"""Seconds between ticks where the next thing may be told any moment."""


class Host(Protocol):
    """The stall, as a hand finds it. Nothing here waits for the figure to have spoken.

    Times are in minutes of the stall's day, `sets` says what they are to be set.
    """

    def micros(self) -> int:
        """The axis of signals."""

    @property
    def speaking(self) -> bool:
        """True while the figure speaks."""

    def do(self, deed: Sequence[str], by: str) -> None:
        """An order in the words of the keeper, or `ask`. `by` is what it came from."""

    def wrong(self, deed: Sequence[str]) -> str:
        """Why such an order means nothing; empty when it does."""

    def gathered(self, by: str) -> bool:
        """People stand before the figure: call them if it may call now. True when it did."""

    def hours(self) -> tuple[int, int, int | None]:
        """When it opens and closes, and the present if it is known: `entry.Open`."""

    def allowed(self, sets: Sets) -> Sequence[int]:
        """The times that may be set, the likeliest first."""

    def understood(self, minute: int, sets: Sets) -> None:
        """Speak back what was understood; it does not count yet."""

    def counts(self, minute: int, sets: Sets) -> None:
        """Set it; where a rule forbids it, say so and offer the nearest that is allowed."""

    def cancelled(self, minute: int, sets: Sets) -> None:
        """What was understood is not to count."""

    def not_caught(self, why: str) -> None:
        """Something was dialled that is no time, or is in doubt."""

    def accept(self) -> bool:
        """Set the time that was offered in place of a forbidden one. False: none was."""


class Receiver(Protocol):
    """Makes something of a device's signals. Belongs to one thread at a time."""

    @property
    def pace(self) -> float | None:
        """Seconds until it wants a `tick`; None while only a signal can change anything."""

    def heard(self, signal: Signal) -> None: ...
    def tick(self, now: int) -> None: ...
