"""The report on paper: the page's figures, pictures and tables as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from showtime.faces.paper.press import pressed
from showtime.faces.paper.setting import soft
from showtime.faces.report.drawing import style
from showtime.faces.report.figures import figures
from showtime.faces.report.pictures import pictures
from showtime.faces.report.times import hhmm

Document = dict[str, Any]


def printed(days: Sequence[Document]) -> bytes:
    """The PDF of one day, or of two."""
    first = days[0]
    columns = [dict(figures(each)) for each in days]
    title = f"{first['stall']}, {' and '.join(each['day'] for each in days)}"
    return pressed(
        "report",
        {
            "size": "A4",
            "language": "en",
            "stall": first["stall"],
            "title": title,
            "shown": soft(title),
            "fair": soft(first["fair"]),
            "caution": first["caution"],
            "notes": [soft(f"{each['day']}: {n}") for each in days for n in each["notes"]],
            "dates": [each["day"] for each in days],
            "figures": [[name, *(each[name] for each in columns)] for name in columns[0]],
            "days": [_one(each) for each in days],
        },
    )


def _one(found: Document) -> dict[str, Any]:
    return {
        "day": found["day"],
        "pictures": [{"title": title, "svg": _coloured(svg)} for title, svg in pictures(found)],
        "caps": [
            [
                soft(cap["name"] + (" (estimate)" if cap["estimate"] else "")),
                *(cap["used"], cap["allowed"], f"{cap['share']:.0%}", cap["planned"] or "–"),
            ]
            for cap in found["caps"]
        ],
        "performances": [
            [
                *(hhmm(found, row["planned"]), hhmm(found, row["started"], seconds=True)),
                *(soft(row["piece"]), f"{row['late_seconds']:.1f} s"),
                "broken off" if row["interrupted"] else "",
            ]
            for row in found["performances"]
        ],
        "promises": [
            [
                *(hhmm(found, row["told"]), hhmm(found, row["first_said"]), str(row["times"])),
                row["outcome"] + (f" to {hhmm(found, row['moved_to'])}" if row["moved_to"] else ""),
                soft(row.get("why", "")),
            ]
            for row in found["promises"]["rows"]
        ],
        "incidents": [
            [
                *(hhmm(found, row["at"]), hhmm(found, row["until"])),
                *(row["kind"], soft(row["piece"]), soft(row.get("why", ""))),
            ]
            for row in found["incidents"]
        ],
    }


def _coloured(svg: str) -> str:
    """The picture with its colours, since no page brings them."""
    before, mark, after = svg.partition("<title>")
    return f"{before}<style>{style()}</style>{mark}{after}"
