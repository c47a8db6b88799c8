"""What a phrase bank may say: as documents for --json, and as lines."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from showtime.wording import Bank, Kind, Situation

Document = dict[str, Any]

USUAL_TIME = "14:30"
_WITHOUT = (Kind.LATE, Kind.NONE_LEFT, Kind.CALLED_OFF, Kind.CLOCK_UNSET, Kind.NOT_CAUGHT)


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


def usual_time(kind: str) -> str:
    """The start that is told in a situation where none was asked for; "" where none is told."""
    return "" if kind in _WITHOUT else USUAL_TIME


def lines(document: Document) -> Iterator[str]:
    """Any of these documents for a person."""
    if "sentences" in document:
        yield from document["sentences"]
        shown, distinct = len(document["sentences"]), document["distinct"]
        yield f"({shown} of {distinct:,} different sentences for '{document['situation']}')"
    else:
        for time, idioms in document["times"].items():
            yield f"{time}  {', '.join(idioms)}"
