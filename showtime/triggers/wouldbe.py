"""A stall that does nothing: it only tells what it would do."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from showtime.fair.wiring import Sets
from showtime.triggers.signals import Micros

_QUARTER = 15


class WouldBe:
    """A Host for trying devices out. `hours`: when it opens and closes, in minutes of the day."""

    speaking = False

    def __init__(
        self, hours: tuple[int, int], micros: Micros, meant: Callable[[str], None]
    ) -> None:
        self._hours = hours
        self.micros = micros
        self._meant = meant

    def do(self, deed: Sequence[str], by: str) -> None:
        self._meant(f"does: {' '.join(deed)}")

    def wrong(self, deed: Sequence[str]) -> str:
        return ""

    def gathered(self, by: str) -> bool:
        self._meant("calls people, if the figure may")
        return True

    def hours(self) -> tuple[int, int, int | None]:
        return *self._hours, None

    def allowed(self, sets: Sets) -> Sequence[int]:
        return range(*self._hours, _QUARTER)

    def understood(self, minute: int, sets: Sets) -> None:
        self._meant(f"understood {clock(minute)}; it counts if nothing more comes")

    def counts(self, minute: int, sets: Sets) -> None:
        what = "the next performance" if sets is Sets.NEXT else "the clock"
        self._meant(f"sets {what} to {clock(minute)}")

    def cancelled(self, minute: int, sets: Sets) -> None:
        self._meant(f"{clock(minute)} is forgotten")

    def not_caught(self, why: str) -> None:
        self._meant(f"not caught: {why}")

    def accept(self) -> bool:
        return False


def clock(minute: int) -> str:
    """A minute of the day as people write it."""
    return f"{minute // 60 % 24:02}:{minute % 60:02}"
