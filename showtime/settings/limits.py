"""Caps and the figure's own limits to budgets."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import timedelta

from showtime.fair import Span, budgets
from showtime.settings.kinds import closest
from showtime.settings.opening import OpenDay
from showtime.settings.problem import Problems
from showtime.settings.stallfile import (
    BatteryGroup,
    BodyGroup,
    CapGroup,
    HeatGroup,
    PieceGroup,
    StallFile,
)

Neighbours = Mapping[str, budgets.Neighbour]


def neighbours(stall: StallFile) -> Neighbours:
    """Those whose distance is known, by name."""
    return {group.name: budgets.Neighbour(group.name, group.distance) for group in stall.neighbours}


def check_neighbours(
    caps: Iterable[CapGroup],
    stall: StallFile,
    known: Iterable[str],
    away_m: Mapping[str, float],
    problems: Problems,
) -> None:
    """Every cap at a neighbour needs one that the stall has named; `known` are all it named.

    `away_m`: how far others are away as far as the fair tells, for those who must still write it.
    """
    names = list(known)
    if "neighbours" in stall.lost:
        return
    for cap in caps:
        if cap.at is not None and cap.at not in names:
            problems.add(
                cap.where_of("at"),
                f"'{cap.at}' is not among the neighbours of {stall.stall or 'the stall'}; "
                + _missing(cap.at, names, away_m),
            )


def _missing(name: str, known: list[str], away_m: Mapping[str, float]) -> str:
    if name in away_m:
        return f"add it there: {{name: {name}, distance: {away_m[name]:.3g} m}}"
    return closest(name, known) if known else "add it there with its distance"


def cap_budget(cap: CapGroup, there: Neighbours, hours: Span) -> budgets.Budget | None:
    """The budget of one cap; None when its neighbour is not known."""
    in_any: timedelta | None = None if cap.in_any == "day" else cap.in_any
    if cap.performances is not None:
        return budgets.Performances(cap.performances, in_any, because=cap.why, where=cap.where)
    if cap.sounding is not None:
        return budgets.Sounding(cap.sounding, in_any, because=cap.why, where=cap.where)
    neighbour = there.get(cap.at or "")
    if cap.level is None or neighbour is None:
        return None
    return budgets.Noise(
        cap.level,
        neighbour,
        in_any or hours.length,
        in_any is None,
        because=cap.why,
        where=cap.where,
    )


def piece_budgets(pieces: Iterable[PieceGroup]) -> list[budgets.Budget]:
    """How often a day each piece may play, where that is told."""
    return [
        budgets.AtMost(piece.name, piece.at_most, where=piece.where_of("at_most"))
        for piece in pieces
        if piece.at_most is not None
    ]


def body_budgets(
    body: BodyGroup | None, days: Iterable[OpenDay], problems: Problems
) -> list[budgets.Budget]:
    """What the figure can bear; that it cannot even bear to rest is a problem."""
    if body is None:
        return []
    found: list[budgets.Budget] = []
    if body.heat is not None:
        found.append(_heat(body.heat, problems))
    if body.battery is not None:
        found.append(_battery(body.battery, days, problems))
    return found


def _heat(heat: HeatGroup, problems: Problems) -> budgets.Heat:
    if heat.ambient + heat.hold > heat.limit:
        problems.add(
            heat.where_of("limit"),
            f"motors at rest are already {heat.ambient + heat.hold:g} °C warm, above this limit;"
            f" write more than that, or a smaller hold",
        )
    return budgets.Heat(heat.time_constant, heat.ambient, heat.hold, heat.limit, where=heat.where)


def _battery(battery: BatteryGroup, days: Iterable[OpenDay], problems: Problems) -> budgets.Battery:
    budget = budgets.Battery(
        battery.capacity, battery.keep / 100, battery.idle, where=battery.where
    )
    for day in days:
        drawn = battery.idle * day.hours.length.total_seconds() / 3600
        if drawn > budget.limit:
            problems.add(
                battery.where_of("idle"),
                f"at rest alone the figure draws {drawn:.2f} Ah on {day.date}, more than the"
                f" {budget.limit:g} Ah there are; write a smaller current or a larger battery",
            )
            break
    return budget
