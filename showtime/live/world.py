"""All that a running day touches, handed in."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from showtime.fair import Performance
from showtime.live.clock import Alarms, KeptClock
from showtime.live.hall import Alone, Hall
from showtime.live.journal import Record
from showtime.live.ports import Beside, Figure, Speech, at_once
from showtime.live.state import DayState
from showtime.wording import Bank

Replanner = Callable[[DayState, datetime], tuple[Performance, ...] | None]
"""The best rest of the day from `now` on, promises kept; None when there is none."""


@dataclass(frozen=True)
class World:
    """All that a running day touches."""

    journal: Record
    clock: KeptClock
    alarms: Alarms
    speech: Speech
    figure: Figure
    banks: Mapping[str, Bank]
    random: random.Random
    replanner: Replanner
    beside: Beside = at_once
    hall: Hall = field(default_factory=Alone)
    changed: Callable[[], None] = lambda: None
