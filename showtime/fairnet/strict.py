"""Reading what came over the line, and believing none of it: every value is looked at."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any, TypeVar

from showtime.fair import Span, instant

LARGEST = 131_072
"""Bytes of a payload; a larger one is not looked at."""

WHOLE = 2**53
"""Numbers below are whole in every program that reads JSON (RFC 8259, section 6)."""

T = TypeVar("T")


class NonsenseError(ValueError):
    """A payload that is not what it should be, and why."""


def document(payload: bytes) -> dict[str, Any]:
    """The JSON object that the payload is. NonsenseError: it is none, or too large."""
    if len(payload) > LARGEST:
        raise NonsenseError(f"{len(payload)} bytes, more than {LARGEST}")
    try:
        found = json.loads(payload.decode("utf-8"), parse_constant=_no_number)
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise NonsenseError(f"no JSON: {error}") from None
    if not isinstance(found, dict):
        raise NonsenseError("no JSON object")
    return found


def _no_number(word: str) -> float:
    raise NonsenseError(f"{word} is no number")


def keys(entry: object, *wanted: str) -> dict[str, Any]:
    """The entry, which must have just these keys."""
    if not isinstance(entry, dict) or set(entry) != set(wanted):
        raise NonsenseError(f"needs just {', '.join(wanted)}")
    return entry


def whole(entry: Mapping[str, Any], key: str, least: int = 0, most: int = WHOLE) -> int:
    value = entry[key]
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise NonsenseError(f"{key} is no whole number from {least} to {most}")
    return value


def number(entry: Mapping[str, Any], key: str) -> float:
    value = entry[key]
    if isinstance(value, bool) or not isinstance(value, int | float) or abs(value) > WHOLE:
        raise NonsenseError(f"{key} is no number")
    if not math.isfinite(value):
        raise NonsenseError(f"{key} is no number")
    return float(value)


def truth(entry: Mapping[str, Any], key: str) -> bool:
    value = entry[key]
    if not isinstance(value, bool):
        raise NonsenseError(f"{key} is neither true nor false")
    return value


def line(entry: Mapping[str, Any], key: str, longest: int = 200, *, empty: bool = True) -> str:
    """One printable line."""
    value = entry[key]
    if not isinstance(value, str) or len(value) > longest or not value.isprintable():
        raise NonsenseError(f"{key} is no line of at most {longest} characters")
    if not value and not empty:
        raise NonsenseError(f"{key} is empty")
    return value


def moment(value: object) -> datetime:
    if not isinstance(value, str) or len(value) > 40:
        raise NonsenseError("a time must be text")
    try:
        return instant(datetime.fromisoformat(value))
    except (ValueError, OverflowError):
        raise NonsenseError(f"{value!r} is no time with its offset") from None


def span(entry: Mapping[str, Any]) -> Span:
    begins, ends = moment(entry["from"]), moment(entry["until"])
    if ends <= begins:
        raise NonsenseError("until must come after from")
    return Span(begins, ends)


def each(
    entry: Mapping[str, Any], key: str, read: Callable[[Any], T], most: int = 500
) -> tuple[T, ...]:
    """Every entry of the list under `key`."""
    found = entry[key]
    if not isinstance(found, list) or len(found) > most:
        raise NonsenseError(f"{key} is no list of at most {most}")
    return tuple(read(one) for one in found)


def perhaps(entry: Mapping[str, Any], key: str, read: Callable[[Any], T]) -> T | None:
    return None if entry[key] is None else read(entry[key])
