"""What is wanted of a part of the hall: as rows and costs over its choices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.hall.part import Part, Terms
from showtime.planning.rows import Rows


def at_least(part: Part, least: Mapping[int, int]) -> Rows:
    """Each of the part's stalls has so many performances."""
    rows = Rows()
    for stall in part.stalls:
        if least.get(stall, 0) > 0:
            rows.add(part.counting(stall), 1.0, lower=float(least[stall]))
    return rows


def worthiest(
    part: Part,
    worth: Floats,
    step: float,
    least: Mapping[int, int],
    most: Mapping[int, int] | None = None,
) -> Terms:
    """The most worth (that of each choice of the hall), none having fewer than `least`.

    `most`: what is known of the worth that a stall can have, to lead the search.
    """
    rows = at_least(part, least)
    for stall in part.stalls if most is not None else ():
        mine = part.counting(stall)
        rows.add(mine, worth[part.columns[mine]], upper=float((most or {})[stall]))
    return Terms(-worth[part.columns], step, rows.packed())


def most_above(part: Part, least: Mapping[int, int], above: Mapping[int, int]) -> Terms:
    """As many stalls as possible have `above` performances, and none less than `least`."""
    rows, count = at_least(part, least), len(part.columns)
    stalls = [stall for stall in part.stalls if above[stall] > least[stall]]
    for number, stall in enumerate(stalls):
        mine = part.counting(stall)
        more = float(above[stall] - least[stall])
        factors = np.append(np.ones(len(mine)), -more)
        rows.add(np.append(mine, count + number), factors, lower=float(least[stall]))
    cost = np.append(np.zeros(count), -np.ones(len(stalls)))

    def completed(known: Truths) -> Floats:
        given = [known[part.counting(stall)].sum() >= above[stall] for stall in stalls]
        return np.array(given, dtype=np.float64)

    return Terms(cost, 1.0, rows.packed(), whole=len(stalls), completed=completed)


def worthiest_above(
    part: Part,
    worth: Floats,
    step: float,
    least: Mapping[int, int],
    above: Mapping[int, int],
    many: int,
) -> Terms:
    """The most worth, while so `many` stalls have what is `above`."""
    terms = most_above(part, least, above)
    count = len(part.columns)
    rows = Rows()
    if terms.rows is not None:
        rows.add_packed(terms.rows)
    if terms.whole:
        rows.add(np.arange(count, count + terms.whole), 1.0, lower=float(many))
    cost = np.append(-worth[part.columns], np.zeros(terms.whole))
    return replace(terms, cost=cost, step=step, rows=rows.packed())


def rising(
    part: Part, wanted: Ints | list[int], least: Mapping[int, int], most: Mapping[int, int]
) -> Terms:
    """As many performances as possible for those `wanted`, up to `most`; then for the others."""
    rows = at_least(part, least)
    here = np.isin(part.joint.stall[part.columns], wanted)
    for stall in part.stalls:
        if stall in most:
            rows.add(part.counting(stall), 1.0, upper=float(most[stall]))
    return Terms(-np.where(here, 100.0, 1.0), 1.0, rows.packed())
