"""The board as HTML, a sheet for each language. Names are text, whatever characters are in them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from showtime.faces.pages.bill import Bill
from showtime.faces.pages.labels import labelled, labels
from showtime.fair import Day

if TYPE_CHECKING:
    from jinja2 import Environment

HERE = Path(__file__).parent


@cache
def templates(folder: Path = HERE / "templates") -> Environment:
    """The templates of that folder, and ours that they build on; all that is put in is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader([folder, HERE / "templates"]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@dataclass(frozen=True, slots=True)
class Sheet:
    """The board in one language; `said` is in the language of its labels."""

    language: str
    own_name: str
    html: str


def sheets(day: Day, shown: Bill) -> tuple[Sheet, ...]:
    """The board in each language of the stall."""
    return tuple(_sheet(day, shown, language) for language in day.signboard.languages)


def _sheet(day: Day, shown: Bill, language: str) -> Sheet:
    words = labels(language)
    html = templates().get_template("sheet.html").render(_context(day, shown, language))
    return Sheet(labelled(language), words.own_name, html)


def _context(day: Day, shown: Bill, language: str) -> dict[str, Any]:
    words = labels(language)
    return {
        "words": words,
        "heading": words.heading(shown.kind),
        "changed": shown.kind.value == "changed",
        "time": _clock(day, shown.at),
        "iso": day.local(shown.at).isoformat() if shown.at else "",
        "millis": _millis(shown.at),
        "on_day": _on_day(day, shown.at, language),
        "piece": shown.piece,
        "playing": words.playing.replace("{}", shown.playing) if shown.playing else "",
        "ends": words.until.replace("{}", _clock(day, shown.ends)) if shown.ends else "",
        "quiet": words.quiet.replace("{}", shown.quiet.why) if shown.quiet else "",
        "quiet_ends": (
            words.until.replace("{}", _clock(day, shown.quiet.until)) if shown.quiet else ""
        ),
        "later": [(_clock(day, starts), piece) for starts, piece in shown.later],
        "calendar": shown.at is not None and bool(shown.piece),
    }


def _clock(day: Day, moment: datetime | None) -> str:
    return f"{day.local(moment):%H:%M}" if moment else ""


def _millis(moment: datetime | None) -> int:
    return round(moment.timestamp() * 1000) if moment else 0


def _on_day(day: Day, moment: datetime | None, language: str) -> str:
    """The weekday of a start that is not on the day itself."""
    if moment is None or day.local(moment).date() == day.date:
        return ""
    from babel.dates import format_date

    name = format_date(day.local(moment).date(), "EEEE", locale=labelled(language))
    return labels(language).on_day.replace("{}", name)
