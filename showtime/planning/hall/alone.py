"""What each stall could have if all others kept silent."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from showtime.planning.gauges import Floats, Ints
from showtime.planning.hall.booths import Booth
from showtime.planning.hall.joint import Joint
from showtime.planning.hall.part import Part, Terms


@dataclass(frozen=True)
class Alone:
    """Per stall, the most performances and the most worth; in whole steps no plan has more."""

    counts: Ints
    worth: Ints
    proven: bool = True


def alone(joint: Joint, worth: Floats, remaining: Callable[[], float], workers: int) -> Alone:
    """Stalls that are alike but for their names are looked at once.

    When time runs out the counts are those that HiGHS could not rule out.
    """
    keys = [_kind(booth) for booth in joint.booths]
    first = {key: number for number, key in reversed(list(enumerate(keys)))}
    with ThreadPoolExecutor(workers) as pool:
        every = list(pool.map(lambda one: _most(joint, one, worth, remaining), first.values()))
    by_key = dict(zip(first, every, strict=True))
    return Alone(
        np.array([by_key[key][0] for key in keys], dtype=np.int64),
        np.array([by_key[key][1] for key in keys], dtype=np.int64),
        all(proven for _, _, proven in every),
    )


def _kind(booth: Booth) -> bytes:
    rows, choices = booth.rows, booth.task.choices
    parts = [rows.row, rows.column, rows.factor, rows.lower, rows.upper, booth.allowed]
    parts += [choices.starts, choices.ends, choices.piece, booth.worth]
    return b"|".join(part.tobytes() for part in parts)


def _most(
    joint: Joint, stall: int, worth: Floats, remaining: Callable[[], float]
) -> tuple[int, int, bool]:
    counted, proven = _best(joint, stall, np.ones(len(joint)), remaining)
    if len(np.unique(worth[joint.booths[stall].choices])) <= 1:
        each = worth[joint.booths[stall].choices].max(initial=0.0)
        return counted, round(counted * each), proven
    return counted, _best(joint, stall, worth, remaining)[0], proven


def _best(
    joint: Joint, stall: int, worth: Floats, remaining: Callable[[], float]
) -> tuple[int, bool]:
    part = Part(joint, [stall], np.zeros(0, np.int64), noisy=False)
    found = part.best(Terms(-worth[part.columns], 1.0), remaining)
    if found.proven and found.chosen is not None:
        return round(float(worth[found.chosen].sum())), True
    most = -found.least if np.isfinite(found.least) else float(worth[part.columns].sum())
    return int(np.floor(most + 1e-6)), False
