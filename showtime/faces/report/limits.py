"""What the day spent of each cap, by planning's own reckoning, and what the plan meant to."""

from __future__ import annotations

from typing import Any

from showtime.fair.budgets import AtMost, Battery, Budget, Heat, Noise
from showtime.live.account import Account
from showtime.planning import Headroom, headroom

Document = dict[str, Any]

_POINTS = 400
"""A course is drawn with no more points than this."""


def caps(account: Account, share: bool) -> list[Document]:
    """Each cap: the highest it came to, what is allowed, and what was planned."""
    day = account.day
    had = headroom(day, account.performances)
    meant = headroom(day, account.planned_performances)
    neighbours: dict[str, str] = {}
    return [
        _cap(account, now, then, _name(now.budget, neighbours, share))
        for now, then in zip(had, meant, strict=True)
    ]


def _cap(account: Account, had: Headroom, meant: Headroom, name: str) -> Document:
    budget = had.budget
    known = account.planned is not None
    return {
        "rule": budget.rule,
        "name": name,
        "used": _shown(budget, had.worst),
        "allowed": _shown(budget, budget.limit),
        "share": round(had.used, 4),
        "at": account.day.local(had.at).isoformat(),
        "planned": _shown(budget, meant.worst) if known else None,
        "planned_share": round(meant.used, 4) if known else None,
        "estimate": isinstance(budget, Noise | Heat | Battery),
    }


def _shown(budget: Budget, level: float) -> str:
    """A level of the budget; the piece that it may be about stands in its name."""
    return f"{level:g} times" if isinstance(budget, AtMost) else budget.shown(level)


def _name(budget: Budget, neighbours: dict[str, str], share: bool) -> str:
    """The cap in words; to be shared, without who asked for it and who hears it."""
    if not share:
        return budget.why
    match budget:
        case Noise():
            there = neighbours.setdefault(budget.at.name, f"neighbour {len(neighbours) + 1}")
            stretch = "the day" if budget.whole_day else f"any {_minutes(budget)} min"
            return f"at most {budget.limit_dba:g} dBA at {there} over {stretch}"
        case AtMost():
            return f"{budget.piece} at most {budget.most} times a day"
        case _:
            because = getattr(budget, "because", "")
            return budget.why.removeprefix(f"{because}: ") if because else budget.why


def _minutes(budget: Noise) -> str:
    return f"{budget.over.total_seconds() / 60:g}"


def heat(account: Account) -> Document | None:
    """The motors' temperature over the day, estimated; None where no limit is set for it."""
    found = [
        each
        for each in headroom(account.day, account.performances)
        if isinstance(each.budget, Heat)
    ]
    if not found:
        return None
    budget, points = found[0].budget, found[0].points
    assert isinstance(budget, Heat)
    if account.until is not None and account.running:
        points = tuple(point for point in points if point.at <= account.now) or points[:1]
    step = max(1, len(points) // _POINTS)
    measured = account.highest_measured_k
    return {
        "limit_c": budget.limit_c,
        "ambient_c": budget.ambient_c,
        "points": [
            [account.day.local(point.at).isoformat(), round(budget.ambient_c + point.level, 2)]
            for point in points[::step]
        ],
        "highest_measured_c": None if measured is None else round(budget.ambient_c + measured, 1),
    }
