"""A dial to turn where there is none: the stand-in for a rotary telephone dial's contacts.

It runs as fast, and breaks for as long, as it is told, and has the ills of age: bouncing contacts,
a speed that wanders, pulses that are lost, run together or torn, sparks on the wire. A turn is a
list of lengths first, break and make in turn, so that each ill is an operation on lengths; then
the instants at which the contact changes. Lengths and times are microseconds.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

Lengths = list[int]
"""Break, make, break, ... break."""

Changes = list[int]
"""When the contact changed, beginning with an opening; bounces and all."""

WINDING = 150_000
"""From leaving the rest to the first pulse, at least."""

HOMECOMING = 60_000
"""From the last pulse to the rest."""


@dataclass(frozen=True)
class WornDial:
    """`bounces`: how long a contact chatters at most; `jitter`: how far an edge is off at most;
    `wander`: by what share of itself the speed changes within a turn at most.
    """

    per_second: float = 10.0
    break_share: float = 0.62
    bounces: int = 5_000
    jitter: int = 1_500
    wander: float = 0.02

    def run(self, pulses: int, luck: Random) -> Lengths:
        """The lengths of a turn, before anything happens to its contacts."""
        lengths: Lengths = []
        for _ in range(pulses):
            period = 1e6 / self.per_second * (1 + luck.uniform(-self.wander, self.wander))
            lengths += [round(period * self.break_share), round(period * (1 - self.break_share))]
        return lengths[:-1]

    def contacts(self, lengths: Lengths, at: int, luck: Random) -> Changes:
        """The changes of the contact on a turn whose first pulse begins at `at`."""
        changes: Changes = []
        for length in (0, *lengths):
            at += length
            edge = at + luck.randint(-self.jitter, self.jitter)
            chatter = range(2 * luck.randint(0, 3) if self.bounces else 0)
            changes += [edge, *(edge + luck.randint(1, self.bounces) for _ in chatter)]
        return sorted(changes)

    def turn(self, digit: int, at: int, luck: Random) -> Changes:
        """Dial a digit."""
        return self.contacts(self.run(digit or 10, luck), at, luck)


def lost(lengths: Lengths, pulse: int) -> Lengths:
    """A pulse is lost: its break and the makes around it are one make. Neither the first nor the
    last."""
    at = 2 * pulse
    return [*lengths[: at - 1], sum(lengths[at - 1 : at + 2]), *lengths[at + 2 :]]


def run_together(lengths: Lengths, pulse: int) -> Lengths:
    """The make after a pulse is lost: two breaks are one."""
    at = 2 * pulse
    return [*lengths[:at], sum(lengths[at : at + 3]), *lengths[at + 3 :]]


def torn(lengths: Lengths, pulse: int, after: int, gap: int) -> Lengths:
    """The break of a pulse is torn in two by a make of `gap`."""
    at = 2 * pulse
    rest = lengths[at] - after - gap
    return [*lengths[:at], after, gap, rest, *lengths[at + 1 :]]


def sparked(changes: Changes, at: int, length: int) -> Changes:
    """A spark: for that long the contact reads as the opposite of what it is."""
    return sorted([*changes, at, at + length])


def levels(changes: Changes) -> list[tuple[int, bool]]:
    """Each change with whether the contact is open after it."""
    return [(at, number % 2 == 0) for number, at in enumerate(changes)]
