"""The keeper's own sheet: what comes when, what is quiet, how full limits get, room to write."""

from __future__ import annotations

from math import log10
from typing import Any

from showtime.faces.paper.labels import Labels
from showtime.faces.paper.setting import clock, soft
from showtime.fair import Day, Performance, Plan, QuietInterval
from showtime.fair.budgets import (
    AtMost,
    Battery,
    Budget,
    Heat,
    Noise,
    Performances,
    Sounding,
    Window,
)
from showtime.planning import Headroom, headroom


def sheet(plan: Plan, words: Labels) -> dict[str, Any]:
    """What stands on the run sheet."""
    day = plan.day
    opens, closes = clock(day, day.hours.start), clock(day, day.hours.end)
    heads = ("done", "starts", "ends", "piece", "calls", "notes")
    cap_heads = ("limit", "highest", "allowed", "when")
    return {
        "title": words("run_title"),
        "hours": f"{words('opens')} {opens}, {words('closes')} {closes}",
        "heads": [words(name) for name in heads],
        "quiet": words("quiet"),
        "rows": _rows(plan, words),
        "limits_title": words("limits_title"),
        "cap_heads": [words(name) for name in cap_heads],
        "caps": [_cap(day, each, words) for each in headroom(day, plan.performances)],
        "write": words("write"),
        "safety": words("safety"),
    }


def _rows(plan: Plan, words: Labels) -> list[dict[str, Any]]:
    day = plan.day
    rows = [(p.starts, _performance(day, p, words)) for p in plan.performances]
    rows += [(quiet.span.start, _quiet(day, quiet)) for quiet in day.quiet]
    return [row for _, row in sorted(rows, key=lambda row: row[0])]


def _performance(day: Day, performance: Performance, words: Labels) -> dict[str, Any]:
    fixed = [each for each in day.wishes.fixed if each.at == performance.starts]
    why = fixed[0].why if fixed else ""
    calls = [performance.starts - before for before in day.calls]
    heard = [
        at for at in sorted(calls) if not any(quiet.forbidden.holds(at) for quiet in day.quiet)
    ]
    mark = f"{words('fixed')}: {why}" if why else words("fixed")
    return {
        "quiet": False,
        "from": clock(day, performance.starts),
        "until": clock(day, performance.ends),
        "what": soft(performance.piece.name),
        "fixed": soft(mark) if fixed else None,
        "calls": " ".join(clock(day, at) for at in heard),
    }


def _quiet(day: Day, quiet: QuietInterval) -> dict[str, Any]:
    return {
        "quiet": True,
        "from": clock(day, quiet.span.start),
        "until": clock(day, quiet.span.end),
        "what": soft(quiet.why),
    }


def _cap(day: Day, found: Headroom, words: Labels) -> dict[str, Any]:
    budget = found.budget
    return {
        "name": _name(budget, words),
        "highest": amount(budget, found.worst, words),
        "allowed": amount(budget, budget.limit, words),
        "when": clock(day, found.at),
        "share": min(found.used, 1.0),
    }


def _name(budget: Budget, words: Labels) -> str:
    if isinstance(budget, AtMost):
        return f"{soft(budget.piece)}: {words('performances')} {words('in_day')}"
    neighbour = soft(budget.at.name) if isinstance(budget, Noise) else ""
    known = budget.rule in words.words
    name = words(budget.rule, neighbour=neighbour) if known else soft(budget.why)
    if isinstance(budget.drain, Window):
        minutes = words.number(budget.drain.width.total_seconds() / 60, 0)
        return f"{name} {words('in_any', minutes=minutes)}"
    return f"{name} {words('in_day')}" if isinstance(budget, Performances | Sounding) else name


def amount(budget: Budget, level: float, words: Labels) -> str:
    """A level of the budget with its unit, as the language writes numbers."""
    match budget:
        case Performances() | AtMost():
            return words.number(level, 0)
        case Sounding():
            return f"{words.number(level / 60, 1)} min"
        case Noise():
            mean = 10 * log10(level / budget.over.total_seconds()) if level > 0 else 0.0
            return f"{words.number(mean, 1)} dBA" if level > 0 else "–"
        case Heat():
            return f"{words.number(budget.ambient_c + level, 1)} °C"
        case Battery():
            return f"{words.number(level, 2)} Ah"
        case _:
            return budget.shown(level)
