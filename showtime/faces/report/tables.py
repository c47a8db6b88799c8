"""Everything as CSV (RFC 4180), one file a table, for whoever reckons on."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from io import StringIO
from typing import Any

from showtime.faces.report.figures import figures

Document = dict[str, Any]

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What makes a spreadsheet reckon with a cell; such text gets a ' before it."""


def tables(found: Document) -> dict[str, bytes]:
    """The tables by the names of their files."""
    waits = found["waits"]
    return {
        "figures.csv": table(("figure", "value"), figures(found)),
        "asks.csv": table(
            ("asked", "wait_minutes"), zip(waits["asked"], waits["minutes"], strict=True)
        ),
        "asks-an-hour.csv": _rows(("hour", "asks"), found["asked"]["per_hour"]),
        "performances.csv": _rows(
            (
                *("planned", "started", "ended", "piece"),
                *("late_seconds", "interrupted", "overran_seconds"),
            ),
            found["performances"],
        ),
        "not-played.csv": _rows(("starts", "piece"), found["not_played"]),
        "promises.csv": _rows(
            _with_why(found, "told", "first_said", "times", "outcome", "moved_to", "apologised"),
            found["promises"]["rows"],
        ),
        "caps.csv": _rows(
            (
                *("rule", "name", "used", "allowed", "share", "at"),
                *("planned", "planned_share", "estimate"),
            ),
            found["caps"],
        ),
        "heat.csv": table(("at", "celsius"), (found["heat"] or {"points": []})["points"]),
        "phrases.csv": table(
            ("situation", "times"), sorted(found["phrases"]["by_situation"].items())
        ),
        "incidents.csv": _rows(
            _with_why(found, "at", "until", "kind", "piece"), found["incidents"]
        ),
    }


def _with_why(found: Document, *heads: str) -> tuple[str, ...]:
    return heads if found["shared"] else (*heads, "why")


def _rows(heads: Sequence[str], rows: Iterable[Document]) -> bytes:
    return table(heads, ([row[head] for head in heads] for row in rows))


def table(heads: Sequence[str], rows: Iterable[Iterable[object]]) -> bytes:
    """One table as RFC 4180 has it; no cell of it is taken for a formula."""
    text = StringIO()
    writer = csv.writer(text)
    writer.writerow(heads)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return text.getvalue().encode()


def _cell(value: object) -> object:
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return value
