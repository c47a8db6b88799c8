"""The report in a few lines, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from showtime.faces.report.figures import figures
from showtime.faces.report.times import hhmm

Document = dict[str, Any]


def lines(found: Document) -> Iterator[str]:
    """The notes, the figures, the caps and what to make of them."""
    yield f"{found['stall']}, {found['day']}"
    for note in found["notes"]:
        yield f"! {note}"
    yield ""
    for name, value in figures(found):
        yield f"{name:<42}{value:>12}"
    yield ""
    for cap in found["caps"]:
        yield f"{cap['share']:>5.0%}  {cap['used']} of {cap['allowed']}: {cap['name']}"
    if found["incidents"]:
        yield ""
    for each in found["incidents"]:
        why = f": {each['why']}" if each.get("why") else ""
        piece = f" ({each['piece']})" if each["piece"] else ""
        yield f"{hhmm(found, each['at'])}  {each['kind']}{piece}{why}"
    yield ""
    yield found["caution"]
