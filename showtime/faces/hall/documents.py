"""What commands print of a hall with --json. Times are ISO 8601 with their offset."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from showtime.faces.documents import Document, local, performance, place
from showtime.fair.hall import HallDay, HallPlan

if TYPE_CHECKING:
    from showtime.planning.hall import HallBroken, HallClash, HallMove, HallWhyNot, Way


def plan(made: HallPlan) -> Document:
    """The joint plan; `showtime check --hall --plan` reads it back."""
    hall = made.hall
    return {
        "fair": hall.fair,
        "day": hall.date.isoformat(),
        "stalls": [
            {
                "stall": name,
                "performances": [performance(hall, each) for each in given],
                "alone": alone,
                "share": round(share, 6),
            }
            for name, given, alone, share in zip(
                hall.names, made.performances, made.alone, made.shares, strict=True
            )
        ],
        "levels": [
            {
                "name": level.name.value,
                "value": level.value,
                "bound": level.bound,
                "gap": level.gap,
                "proven": level.proven,
            }
            for level in made.levels
        ],
        "fairness": {"smallest_share": made.smallest_share, "jain": made.jain},
        "seconds": round(made.seconds, 4),
    }


def clash(hall: HallDay, found: HallClash) -> Document:
    """Why there is no joint plan: the rules of one stall that clash."""
    return {
        "fair": hall.fair,
        "day": hall.date.isoformat(),
        "stalls": [],
        "clash": [
            {"stall": found.stall, "rule": rule.rule, "why": rule.why, **place(rule.where)}
            for rule in found.clash.rules
        ],
    }


def broken(hall: HallDay, found: Iterable[HallBroken]) -> Document:
    """Who breaks what, when, beside whom."""
    return {
        "broken": [
            {
                "stall": each.stall,
                "rule": each.rule,
                "why": each.why,
                "at": local(hall, each.at),
                "others": list(each.others),
                **place(each.where),
            }
            for each in found
        ]
    }


def why(hall: HallDay, found: HallWhyNot) -> Document:
    """Why a stall does not perform then, and who would have to move."""
    return {
        "stall": found.stall,
        "at": local(hall, found.at),
        "piece": found.piece,
        "allowed": found.allowed,
        "reasons": [
            {
                "rule": each.rule,
                "why": each.why,
                "piece": each.piece,
                "others": list(each.others),
                **place(each.where),
            }
            for each in found.reasons
        ],
        "possible": found.possible,
        "moves": _moves(hall, found.moves),
        "own": _way(hall, found.own),
        "neighbours": None if found.neighbours is None else _way(hall, found.neighbours),
        "nearest": None if found.nearest is None else local(hall, found.nearest),
        "note": found.note,
    }


def _way(hall: HallDay, way: Way) -> Document:
    return {"verdict": way.verdict.value, "moves": _moves(hall, way.moves)}


def _moves(hall: HallDay, moves: Iterable[HallMove]) -> list[Document]:
    return [
        {
            "stall": move.stall,
            "piece": move.piece,
            "from": local(hall, move.planned),
            "to": None if move.to is None else local(hall, move.to),
        }
        for move in moves
    ]
