"""How it stands before the fair opens, a line each; for --json and for a keeper without glasses."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from showtime.fair import Day
    from showtime.live.readiness import Line

Document = dict[str, Any]

MARKS = {"ok": "ok  ", "look": "look", "mend": "MEND"}
"""What is to be mended stands out without colour, too."""

SAFETY = "First try the emergency stop, and see that guards are on and hands clear."

_INDENT = 6


def document(lines: Iterable[Line], day: Day | None = None) -> Document:
    """What was found, as --json gives it."""
    checks = [
        {"name": each.name, "state": each.state.value, "says": each.says, "mend": each.mend}
        for each in lines
    ]
    found: Document = {"ready": all(each["state"] != "mend" for each in checks), "checks": checks}
    if day is not None:
        found |= {"day": str(day.date), "stall": day.signboard.stall}
    return found


def heading(day: Day) -> str:
    return f"{day.signboard.stall}, {day.date:%A %d %B %Y}: is all ready?"


def line(of: Line, width: int) -> Iterator[str]:
    """One thing in as few lines as `width` columns allow, what to do about it below it."""
    name = f"{MARKS[of.state.value]}  {of.name}: "
    yield from _wrapped(f"{name}{of.says}", width, " " * _INDENT)
    if of.mend:
        yield from _wrapped(f"{' ' * _INDENT}-> {of.mend}", width, " " * (_INDENT + 3))


def verdict(lines: Sequence[Line], seconds: float) -> Iterator[str]:
    """The answer, what to mend, and what no program can see to."""
    wrong = list(dict.fromkeys(each.name for each in lines if each.state == "mend"))
    yield (f"NOT READY. Mend first: {', '.join(wrong)}." if wrong else f"Ready ({seconds:.0f} s).")
    yield SAFETY


def _wrapped(text: str, width: int, indent: str) -> list[str]:
    return textwrap.wrap(
        text, width, subsequent_indent=indent, break_on_hyphens=False, drop_whitespace=True
    )
