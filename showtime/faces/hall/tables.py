"""The joint plan as tables for whoever reckons on: CSV as RFC 4180 has it, times as ISO 8601."""

from __future__ import annotations

from showtime.faces.report.tables import table
from showtime.fair.hall import HallPlan

TIMETABLE = ("day", "stall", "starts", "ends", "piece")
FAIRNESS = ("figure", "stall", "given", "alone", "value")


def timetable_csv(plan: HallPlan) -> bytes:
    """Every performance; `showtime check --hall --plan` reads it back."""
    hall = plan.hall
    rows: list[tuple[str, ...]] = [
        (
            hall.date.isoformat(),
            name,
            hall.local(each.starts).isoformat(),
            hall.local(each.ends).isoformat(),
            each.piece.name,
        )
        for name, given in zip(hall.names, plan.performances, strict=True)
        for each in given
    ]
    rows.sort(key=lambda row: (row[2], row[1]))
    return table(TIMETABLE, rows)


def fairness_csv(plan: HallPlan) -> bytes:
    """Each stall's share, then the smallest and Jain's index, told apart by `figure`."""
    rows: list[tuple[object, ...]] = [
        ("share", name, len(given), alone, round(share, 6))
        for name, given, alone, share in zip(
            plan.hall.names, plan.performances, plan.alone, plan.shares, strict=True
        )
    ]
    rows.append(("smallest_share", "", "", "", round(plan.smallest_share, 6)))
    rows.append(("jain", "", "", "", round(plan.jain, 6)))
    return table(FAIRNESS, rows)
