"""What a phrase bank may say: as documents for --json, and as lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

from showtime.wording import Bank, Kind, Situation

Document = dict[str, Any]


def times(bank: Bank) -> Document:
    """Every idiom for each of the day's 1,440 minutes."""
    return {
        "language": bank.language,
        "times": {
            f"{hour:02}:{minute:02}": list(bank.clock.idioms(hour, minute))
            for hour in range(24)
            for minute in range(60)
        },
    }


def sentences(bank: Bank, situation: Situation, limit: int) -> Document:
    """How many different sentences there are, and up to `limit` of them."""
    told = situation.at and situation.at.astimezone(situation.signboard.timezone)
    return {
        "language": bank.language,
        "situation": situation.kind.value,
        "distinct": bank.count(situation),
        "sentences": list(bank.sentences(situation, limit)) if limit else [],
        "times": _told(bank, told) if told else {},
    }


def _told(bank: Bank, told: datetime) -> dict[str, list[str]]:
    return {f"{told:%H:%M}": list(bank.clock.idioms(told.hour, told.minute))}


def audit(bank: Bank, situation: Callable[[str, str, str], Situation]) -> Document:
    """The variety of each situation: exact numbers of different sentences, and of templates."""
    rows = []
    for kind in Kind:
        for at in ("14:30", ""):
            asked = situation(kind.value, at, "2027-02-13T14:28" if at else "")
            distinct = bank.count(asked)
            if distinct:
                telling = sum(t.tells is bool(at) for t in bank.templates[kind])
                rows.append(
                    {
                        "situation": kind.value,
                        "tells_a_time": bool(at),
                        "templates": telling,
                        "distinct": distinct,
                    }
                )
    warnings = [str(problem) for problem in bank.warnings]
    return {"language": bank.language, "situations": rows, "warnings": warnings}


def lines(document: Document) -> Iterator[str]:
    """Any of these documents for a person."""
    if "situations" in document:
        yield f"{'situation':<14}{'tells':<10}{'templates':>10}{'sentences':>24}"
        for row in document["situations"]:
            tells = "a time" if row["tells_a_time"] else "no time"
            yield (f"{row['situation']:<14}{tells:<10}{row['templates']:>10}{row['distinct']:>24,}")
        yield from document["warnings"]
    elif "sentences" in document:
        yield from document["sentences"]
        shown, distinct = len(document["sentences"]), document["distinct"]
        yield f"({shown} of {distinct:,} different sentences for '{document['situation']}')"
    else:
        for time, idioms in document["times"].items():
            yield f"{time}  {', '.join(idioms)}"
