"""Rows that follow from limits of noise for whole performances, and bring a relaxation nearer."""

from __future__ import annotations

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.hall.part import Part
from showtime.planning.rows import PackedRows, Rows

AT_ONCE = 40
"""So many rows are let in at a time, the most exceeded first."""
EXCEEDED = 1e-3
SAME = 1e-7
HAIR = 1e-4
"""What the units of many choices may be off by in sum; by so much the room is taken for larger."""
PARTS = (1, 2, 3)


def rounded(part: Part, values: Floats) -> PackedRows:
    """Limits of noise in units of what one choice is heard with, fractions dropped (Gomory).

    Those that these values of the part's columns pass, for each listener and unit the most.
    """
    found: list[tuple[float, Ints, Floats, float]] = []
    used = np.flatnonzero(values > SAME)
    for heard, room in part.heard_at():
        kinds = np.unique(np.round(heard[:, used][heard[:, used] > 0], 9))
        for kind in _apart(kinds):
            for share in PARTS:
                unit = kind / share
                most = np.floor(room / unit + HAIR)
                units = np.floor(heard[:, used] / unit + SAME)
                excess = np.where(most >= 0, units @ values[used] - most, -1.0)
                excess /= np.maximum(most, 1.0)
                worst = int(excess.argmax())
                if excess[worst] > EXCEEDED:
                    full = np.floor(heard[worst] / unit + SAME)
                    there = np.flatnonzero(full)
                    found.append((float(excess[worst]), there, full[there], float(most[worst])))
    rows = Rows()
    for _, columns, spent, limit in sorted(found, key=lambda one: -one[0])[:AT_ONCE]:
        rows.add(columns, spent, upper=limit)
    return rows.packed()


def _apart(kinds: Floats) -> list[float]:
    """Without those that are nearly the same as another."""
    found: list[float] = []
    for kind in kinds.tolist():
        if not found or kind > found[-1] * (1 + 1e-6):
            found.append(kind)
    return found
