"""What commands print with --json: one document each. Times are ISO 8601 with their offset."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from showtime.fair import Day, Performance, Plan, Where
    from showtime.fair.hall import HallDay
    from showtime.live import DayState, Promise, Rehearsed
    from showtime.planning import Broken, Clash, WhyNot
    from showtime.settings import Problem
    from showtime.wording import Sentence

Document = dict[str, Any]


def plan(made: Plan) -> Document:
    day = made.day
    return {
        "day": day.date.isoformat(),
        "stall": day.signboard.stall,
        "performances": [performance(day, p) for p in made.performances],
        "levels": [
            {"name": level.name.value, "value": level.value, "proven": level.proven}
            for level in made.levels
        ],
        "mean_wait_minutes": round(made.mean_wait.total_seconds() / 60, 4),
        "longest_wait_minutes": round(made.longest_wait.total_seconds() / 60, 4),
        "seconds": round(made.seconds, 4),
    }


def clash(day: Day, found: Clash) -> Document:
    return {
        "day": day.date.isoformat(),
        "stall": day.signboard.stall,
        "performances": [],
        "clash": [{"rule": r.rule, "why": r.why, **place(r.where)} for r in found.rules],
    }


def why(day: Day, found: WhyNot) -> Document:
    return {
        "at": local(day, found.at),
        "allowed": found.allowed,
        "reasons": [
            {"rule": r.rule, "why": r.why, "piece": r.piece, **place(r.where)}
            for r in found.reasons
        ],
        "possible": found.possible,
        "note": found.note,
        "moves": [
            {
                "piece": move.piece,
                "from": local(day, move.planned),
                "to": local(day, move.to) if move.to else None,
            }
            for move in found.moves
        ],
    }


def problems(found: Iterable[Problem]) -> Document:
    return {"problems": [{"message": p.message, **place(p.where)} for p in found]}


def broken(day: Day, found: Iterable[Broken]) -> Document:
    return {
        "broken": [
            {"rule": b.rule, "why": b.why, "at": local(day, b.at), **place(b.where)} for b in found
        ]
    }


def sentence(day: Day, said: Sequence[Sentence]) -> Document:
    """The answer in its first language; `also`: the same in those that are spoken after it."""
    first, *others = said
    situation = first.situation
    return {
        "situation": situation.kind.value,
        "at": local(day, situation.at) if situation.at else None,
        "sentence": first.text,
        "language": first.language,
        "also": [{"sentence": each.text, "language": each.language} for each in others],
        "now": local(day, situation.now),
    }


def rehearsal(rehearsed: Rehearsed, seconds: float) -> Document:
    from showtime.live import Outcome

    state, day = rehearsed.state, rehearsed.state.day
    return {
        "day": day.date.isoformat(),
        "performances": len(state.played),
        "asked": state.asked,
        "promises": len(state.promises),
        "kept": rehearsed.count(Outcome.KEPT),
        "apologised": rehearsed.count(Outcome.CHANGED),
        "for_tomorrow": rehearsed.for_tomorrow,
        "broken_promises": rehearsed.count(Outcome.BROKEN),
        "broken_rules": len(rehearsed.broken),
        "broken": [{"rule": rule, "at": local(day, at)} for rule, at in rehearsed.broken],
        "seconds": round(seconds, 4),
    }


def promises(state: DayState, found: Iterable[Promise]) -> Document:
    day = state.day
    rows = [
        {
            "told": local(day, p.told),
            "first_said": local(day, p.first_said),
            "last_said": local(day, p.last_said),
            "times": p.times,
            "triggers": list(p.triggers),
            "outcome": p.outcome.value,
            "moved_to": local(day, p.moved_to) if p.moved_to else None,
            "apologised": p.apologised,
            "why": p.why,
        }
        for p in found
    ]
    outcomes = [row["outcome"] for row in rows]
    counts = {name: outcomes.count(name) for name in ("kept", "changed", "broken", "open")}
    return {"day": day.date.isoformat(), "promises": rows, **counts}


def performance(day: Day | HallDay, each: Performance) -> Document:
    return {
        "starts": local(day, each.starts),
        "ends": local(day, each.ends),
        "piece": each.piece.name,
    }


def local(day: Day | HallDay, moment: datetime) -> str:
    return day.local(moment).isoformat()


def place(where: Where | None) -> Document:
    if where is None:
        return {}
    return {"file": where.file, "line": where.line, "column": where.column}
