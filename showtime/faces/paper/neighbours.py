"""Each neighbour's sheet: when it sounds, how loud that is estimated to be, when it is silent.

Estimates for a free field: divergence after ISO 9613-2, energy mean over the hour as in ISO 1996-1.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from showtime.faces.paper.labels import Labels
from showtime.faces.paper.setting import clock, show_lines, soft
from showtime.fair import Plan, Stall
from showtime.fair.budgets import Neighbour, Noise
from showtime.planning import Headroom, headroom

_HOUR = timedelta(hours=1)


def sheet(stall: Stall, plan: Plan, words: Labels) -> dict[str, Any]:
    """What stands on the neighbours' sheets, one for each of them."""
    day = plan.day
    title = words("heard_title", figure=day.signboard.figure)
    return {
        "title": title,
        "heads": [words(name) for name in ("from", "until", "piece", "level_there", "level_hour")],
        "silent_title": words("silent_title"),
        "silent": words("silent"),
        "silences": [
            {
                "from": clock(day, quiet.span.start),
                "until": clock(day, quiet.span.end),
                "why": soft(quiet.why),
            }
            for quiet in day.quiet
        ],
        "call": words("call", phone=soft(stall.phone)) if stall.phone else words("come"),
        "caution": words("caution"),
        "neighbours": [_one(plan, each, words, title) for each in stall.neighbours],
    }


def hourly(plan: Plan, at: Neighbour) -> Headroom:
    """The mean level over the last hour there, as it runs over the day."""
    from dataclasses import replace

    whole = Noise(0.0, at, _HOUR)
    (found,) = headroom(replace(plan.day, budgets=(whole,)), plan.performances)
    return found


def _one(plan: Plan, at: Neighbour, words: Labels, title: str) -> dict[str, Any]:
    day, heard = plan.day, hourly(plan, at)
    ends = {point.at: point.level for point in heard.points}
    untold = sorted({p.piece.name for p in plan.performances if p.piece.level_dba is None})

    def dba(level: float) -> str:
        return f"{words.number(level, 1)}\u00a0dBA"  # a number is not parted from its unit

    def mean(level: float) -> str:
        return dba(_lg(level, _HOUR)) if level > 0 else "–"

    rows = [
        {
            "from": clock(day, p.starts),
            "until": clock(day, p.ends),
            "piece": soft(p.piece.name),
            "during": "?" if p.piece.level_dba is None else dba(at.level_dba(p.piece.level_dba)),
            "hour": mean(ends[p.ends]),
        }
        for p in plan.performances
    ]
    distance = words.number(at.distance_m, 0 if at.distance_m == round(at.distance_m) else 1)
    loudest = words("loudest", distance=distance, level=mean(heard.worst))
    return {
        "title": show_lines(title, 34),
        "whom": words("for", neighbour=soft(at.name)),
        "loudest": loudest if heard.worst > 0 else None,
        "agreed": [_agreed(b, words) for b in day.budgets if isinstance(b, Noise) and b.at == at],
        "not_told": words("not_told", pieces=words.list([*map(soft, untold)])) if untold else None,
        "rows": rows,
    }


def _agreed(cap: Noise, words: Labels) -> str:
    minutes = words.number(cap.over.total_seconds() / 60, 0)
    return words(
        "agreed",
        limit=f"{words.number(cap.limit_dba, 1)}\u00a0dBA",
        stretch=words("minutes", minutes=minutes),
    )


def _lg(energy: float, over: timedelta) -> float:
    from math import log10

    return 10 * log10(energy / over.total_seconds())
