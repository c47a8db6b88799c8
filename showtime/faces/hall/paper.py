"""The timetable on paper: the hall from above, the day by the clock, and stall by stall."""

from __future__ import annotations

from typing import Any

from showtime.faces.hall.floor import floor
from showtime.faces.hall.joint import Joint
from showtime.faces.hall.words import CAUTION, fairness, hall_clock, percent
from showtime.faces.paper.press import pressed
from showtime.faces.paper.setting import soft
from showtime.faces.report.drawing import style

_ON_PAPER = ".spot{fill:#fff}.f-paper{fill:#fff}.ring{visibility:hidden}"


def printed(joint: Joint) -> bytes:
    """The PDF, on as many sheets of A4 as the hall needs."""
    hall = joint.hall
    return pressed(
        "timetable",
        {
            "size": "A4",
            "language": "en",
            "stall": hall.fair,
            "title": f"{hall.fair}, {hall.date.isoformat()}: timetable",
            "fair": soft(hall.fair),
            "date": f"{hall.date:%A} {hall.date.day} {hall.date:%B %Y}",
            "hours": f"open from {hall_clock(hall, hall.hours.start)} "
            f"to {hall_clock(hall, hall.hours.end)}",
            "fairness": soft(fairness(joint.plan)),
            "floor": _coloured(floor(hall, linked=False)) if hall.names else None,
            "hours_of": _by_the_clock(joint),
            "stalls": _by_stall(joint),
            "caution": CAUTION,
        },
    )


def _by_the_clock(joint: Joint) -> list[dict[str, Any]]:
    """What starts in each hour of the wall clock."""
    hall = joint.hall
    found: dict[str, list[dict[str, Any]]] = {}
    for moment, those in joint.by_time:
        local = hall.local(moment)
        hour = hall_clock(hall, moment - (local - local.replace(minute=0, second=0, microsecond=0)))
        for place, (number, each) in enumerate(those):
            found.setdefault(hour, []).append(
                {
                    "at": hall_clock(hall, moment),
                    "first": place == 0,
                    "number": str(number + 1),
                    "stall": soft(hall.names[number]),
                    "piece": soft(each.piece.name),
                    "until": hall_clock(hall, each.ends),
                }
            )
    return [{"hour": hour, "starts": starts} for hour, starts in found.items()]


def _by_stall(joint: Joint) -> list[dict[str, str]]:
    hall, plan = joint.hall, joint.plan
    return [
        {
            "number": str(number + 1),
            "stall": soft(name),
            "share": f"{len(given)} of {alone}, {percent(share)}" if alone else f"{len(given)}",
            "starts": "  ".join(hall_clock(hall, each.starts) for each in given) or "none",
        }
        for number, (name, given, alone, share) in enumerate(
            zip(hall.names, plan.performances, plan.alone, plan.shares, strict=True)
        )
    ]


def _coloured(svg: str) -> str:
    """The drawing with its colours, since no page brings them."""
    before, mark, after = svg.partition(">")
    return f"{before}{mark}<style>{style()}{_ON_PAPER}</style>{after}"
