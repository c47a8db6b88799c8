"""One line of the table of figures."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """What was measured, against the target that it should not exceed (None: shown only).

    `beside` tells the peer that was measured in the same run, where there is one, and how the
    figure was taken.
    """

    name: str
    figure: float
    unit: str
    target: float | None = None
    beside: str = ""


def seconds(action: Callable[[], object], runs: int = 5) -> float:
    """The median time of `action` over `runs` runs after one warm-up."""
    action()
    taken = []
    for _ in range(runs):
        begun = time.perf_counter()
        action()
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)
