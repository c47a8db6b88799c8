"""The columns over which a task is decided, and costs over them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.rows import Rows
from showtime.planning.task import Task

if TYPE_CHECKING:
    from showtime.planning.flow import Flow


@dataclass(frozen=True)
class Goal:
    """A cost over columns; the costs of two plans differ by `step` at least (0: not known)."""

    cost: Floats
    step: float


class Columns:
    """First the choices (1: performed), then what single goals need besides, with their rows."""

    def __init__(self, task: Task) -> None:
        self.task = task
        self.rows = Rows()
        self.flow_rows = Rows()
        self.lower = np.zeros(len(task.choices))
        self.upper = np.ones(len(task.choices))
        self.whole = np.ones(len(task.choices), dtype=np.int64)
        self.flow: Flow | None = None
        self._completions: list[tuple[Ints, Callable[[Ints], Floats]]] = []

    def __len__(self) -> int:
        return len(self.lower)

    def more(self, count: int, *, upper: float = 1.0, whole: bool = False) -> Ints:
        """`count` new columns from 0 to `upper`; their numbers."""
        begin = len(self)
        self.lower = np.concatenate([self.lower, np.zeros(count)])
        self.upper = np.concatenate([self.upper, np.full(count, upper)])
        self.whole = np.concatenate([self.whole, np.full(count, int(whole))])
        return np.arange(begin, begin + count)

    def padded(self, cost: Floats, columns: Ints | None = None) -> Floats:
        """The cost of these columns (None: of the first ones), all others costing nothing."""
        full = np.zeros(len(self))
        full[np.arange(len(cost)) if columns is None else columns] = cost
        return full

    def completed_by(self, columns: Ints, values: Callable[[Ints], Floats]) -> None:
        """What these columns are follows from what is chosen."""
        self._completions.append((columns, values))

    def point(self, chosen: Ints) -> Floats:
        """All columns as they are when these choices are made and no others."""
        values = np.zeros(len(self))
        values[chosen] = 1.0
        for columns, completion in self._completions:
            values[columns] = completion(chosen)
        return values
