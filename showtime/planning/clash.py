from __future__ import annotations

from dataclasses import dataclass
from showtime.fair import Where

@dataclass(frozen=True, slots=True)
class ClashingRule:
    """One of the rules that cannot all hold: its name, its words, and where it is written."""

    rule: str
    why: str
    where: Where | None = None

@dataclass(frozen=True, slots=True)
class Clash:
    """Rules that cannot all hold, though all but any one of them could."""

    rules: tuple[ClashingRule, ...]
def clash_of(*a):...
