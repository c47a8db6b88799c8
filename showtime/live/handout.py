"""A stall's part of the hall's joint plan as a JSON document: written, and read back strictly.

It has all that `showtime plan --json` tells of one stall: whatever reads the one reads the other.

    {fair, stall, day, performances: [{starts, ends, piece}], quiet: [{why, from, until}], ...}

Times are ISO 8601 with their offset. `quiet` may be missing: nobody else's sound binds the stall.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any, TypeVar

from showtime.fair import Day, Performance, Plan, QuietInterval, Span, instant
from showtime.fair.hall import Handout
from showtime.live.asked import QuestionError
from showtime.live.files import place_in

_LONGEST_WHY = 200
"""Characters: a reason is spoken, and shown in one line."""

_MOST = 2000
"""Performances or quiet times of one day: more is a mistake."""


class HandoutError(QuestionError):
    """A day file that cannot be followed; each problem on a line, with its place."""


def handout_document(handout: Handout, day: Day) -> dict[str, Any]:
    """The document of what a stall is handed for its `day`."""
    plan = Plan(day, handout.performances)
    return {
        "fair": day.signboard.fair,
        "stall": handout.stall,
        "day": handout.date.isoformat(),
        "performances": [
            {
                "starts": _local(day, performance.starts),
                "ends": _local(day, performance.ends),
                "piece": performance.piece.name,
            }
            for performance in handout.performances
        ],
        "quiet": [
            {
                "why": quiet.why,
                "from": _local(day, quiet.forbidden.start),
                "until": _local(day, quiet.forbidden.end),
            }
            for quiet in handout.quiet
        ],
        "levels": [],
        "mean_wait_minutes": round(plan.mean_wait.total_seconds() / 60, 4),
        "longest_wait_minutes": round(plan.longest_wait.total_seconds() / 60, 4),
        "seconds": 0.0,
    }


def _local(day: Day, moment: datetime) -> str:
    return day.local(moment).isoformat()


def day_with(handout: Handout, day: Day) -> Day:
    """The stall's day with the times in which it must be silent by what it was handed."""
    return replace(day, quiet=(*day.quiet, *handout.quiet))


def handout_from(
    document: object, days: Sequence[Day], source: str = "the handed plan", text: str = ""
) -> Handout:
    """What the document hands to the stall of these days. HandoutError names all that is wrong.

    `source` is what a message calls the document; with the `text` that it was read from, each
    problem is told with its line and column. Whether the plan breaks a rule is not judged here.
    """
    reading = _Reading(source, text)
    if not isinstance(document, dict):
        raise HandoutError(f"{reading.at()}: not a stall's day file; it needs {_EXAMPLE}")
    day = _day(reading, document, days)
    if day is None:
        raise HandoutError("\n".join(reading.problems))
    performances = reading.each(
        document, "performances", lambda entry: _performance(entry, day), needed=True
    )
    quiet = reading.each(document, "quiet", _quiet, needed=False)
    if reading.problems:
        raise HandoutError("\n".join(reading.problems))
    ordered = tuple(sorted(performances, key=lambda p: p.starts))
    return Handout(
        day.signboard.stall, day.date, ordered, tuple(sorted(quiet, key=lambda q: q.span))
    )


def handout_in(file: Path, days: Sequence[Day]) -> Handout:
    """What stands in the day file. HandoutError: it cannot be read, or is none of this stall."""
    try:
        text = file.read_text("utf-8")
        document = json.loads(text)
    except json.JSONDecodeError as error:
        raise HandoutError(f"{file}:{error.lineno}:{error.colno}: not JSON: {error.msg}") from None
    except OSError as error:
        raise HandoutError(f"{file}:1:1: cannot read the day file: {error.strerror}") from None
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise HandoutError(f"{file}:1:1: cannot read the day file: {error}") from None
    return handout_from(document, days, str(file), text)


T = TypeVar("T")

_EXAMPLE = (
    '{"stall": "...", "day": "2027-02-13", "performances": '
    '[{"starts": "2027-02-13T14:30:00+00:00", "piece": "..."}]}'
)


@dataclass
class _Reading:
    """What was found wrong so far, each with its place in the text."""

    source: str
    text: str
    problems: list[str] = field(default_factory=list)

    def at(self, entry: object = None) -> str:
        if not self.text:
            return self.source
        return f"{self.source}:{'1:1' if entry is None else place_in(self.text, entry)}"

    def tell(self, problem: str, entry: object = None) -> None:
        self.problems.append(f"{self.at(entry)}: {problem}")

    def each(
        self, document: dict[str, Any], key: str, read: Callable[[Any], T], *, needed: bool
    ) -> list[T]:
        """All that stands in the list under `key`, as far as it can be read."""
        entries = document.get(key)
        if entries is None and not needed:
            return []
        if not isinstance(entries, list):
            self.tell(f"{key!r} must be a list; a day file is {_EXAMPLE}", {key: key})
            return []
        if len(entries) > _MOST:
            self.tell(f"{key!r} has {len(entries)} entries; a day has at most {_MOST}")
            return []
        found = []
        for number, entry in enumerate(entries, start=1):
            try:
                found.append(read(entry))
            except (ValueError, OverflowError) as error:
                self.tell(f"{key} {number}: {error}", entry)
        return found


def _day(reading: _Reading, document: dict[str, Any], days: Sequence[Day]) -> Day | None:
    stall, written = document.get("stall"), document.get("day")
    own = days[0].signboard.stall
    if stall != own:
        reading.tell(
            f"this is handed to {stall or 'nobody'}, and the settings are {own}'s", [stall]
        )
    try:
        wanted = date.fromisoformat(written) if isinstance(written, str) else None
    except ValueError:
        wanted = None
    day = next((each for each in days if each.date == wanted), None)
    if day is None:
        dates = ", ".join(each.date.isoformat() for each in days)
        reading.tell(f"'day' {written!r} is no day of this stall; it is open on {dates}", [written])
    return None if reading.problems else day


def _performance(entry: Any, day: Day) -> Performance:
    starts, name = _moment(entry, "starts"), _word(entry, "piece")
    piece = next((each for each in day.pieces if each.name == name), None)
    if piece is None:
        names = ", ".join(each.name for each in day.pieces)
        raise ValueError(f"no piece is named {name!r}; there are {names}")
    performance = Performance(starts, piece)
    if "ends" in entry and _moment(entry, "ends") != performance.ends:
        raise ValueError(
            f"{name} would end at {_local(day, performance.ends)} by the settings, not at "
            f"{entry['ends']}: the plan was made with others"
        )
    return performance


def _quiet(entry: Any) -> QuietInterval:
    why = _word(entry, "why")
    if len(why) > _LONGEST_WHY or not why.isprintable():
        raise ValueError(f"'why' must be one line of at most {_LONGEST_WHY} characters")
    begins, ends = _moment(entry, "from"), _moment(entry, "until")
    if ends <= begins:
        raise ValueError("'until' must come after 'from'")
    return QuietInterval(why, Span(begins, ends))


def _word(entry: Any, key: str) -> str:
    value = entry.get(key) if isinstance(entry, dict) else None
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{key!r} is missing, or is no text")
    return value


def _moment(entry: Any, key: str) -> datetime:
    written = _word(entry, key)
    try:
        return instant(datetime.fromisoformat(written))
    except (ValueError, OverflowError):
        example = "2027-02-13T14:30:00+00:00"
        raise ValueError(f"{key!r} {written!r} is no time; write it like {example}") from None
