"""How fast the line lives: every length of time in it, so that tests can hurry."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Pace:
    """In seconds by the clock that is handed in, but for `tick` and `retry`.

    - `beat`: how often a stall tells its claims again.
    - `lease`: for so long what a stall claimed holds after it was last heard; and so long a stall
      that has come back waits for all others to be heard.
    - `own_lease`: for so long a stall trusts the leave it was given while it hears nothing, itself
      included; well below `lease`, so that it stops before others stop minding it.
    - `grace`: clocks may be so far apart; more is told.
    - `patience`: a promised start that waits so long for leave makes an unpromised one give way.
    - `tick`, `retry`: by the machine's own clock, how often it looks whether time has passed,
      and the longest wait between two tries to reach the broker.
    """

    beat: float = 5.0
    lease: float = 30.0
    own_lease: float = 12.0
    grace: float = 20.0
    patience: float = 2.0
    tick: float = 0.25
    retry: float = 15.0

    def __post_init__(self) -> None:
        if not 0 < self.beat < self.own_lease < self.lease:
            raise ValueError("a beat is shorter than the own lease, and that than the lease")

    @property
    def late(self) -> float:
        """By so much a start may be late and still be the one that was claimed: whoever comes next
        waits until it is said to be over."""
        return 3 * self.grace
