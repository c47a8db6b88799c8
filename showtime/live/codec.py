"""Events to and from the text that the journal keeps."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import fields
from datetime import date, datetime
from functools import cache
from typing import Any, get_type_hints

from showtime.live.events import KINDS, Event, Slot
from showtime.wording import Kind

VERSION = 1
"""Of the way events are written. A newer one reads the older through small steps."""

_CLASSES = {kind.__name__: kind for kind in KINDS}


def _written(value: object) -> object:
    if isinstance(value, Slot):
        return [value.starts.isoformat(), value.piece]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return [_written(item) for item in value]
    return value


def _slot(value: list[str]) -> Slot:
    return Slot(datetime.fromisoformat(value[0]), value[1])


_READERS: dict[Any, Callable[[Any], Any]] = {
    datetime: datetime.fromisoformat,
    datetime | None: lambda value: value and datetime.fromisoformat(value),
    date: date.fromisoformat,
    Slot: _slot,
    Slot | None: lambda value: value and _slot(value),
    tuple[Slot, ...]: lambda value: tuple(_slot(item) for item in value),
    tuple[datetime, ...]: lambda value: tuple(datetime.fromisoformat(item) for item in value),
    Kind: Kind,
}


@cache
def _readers(kind: type[Any]) -> dict[str, Callable[[Any], Any]]:
    hints = get_type_hints(kind)
    return {
        field.name: _READERS[hints[field.name]]
        for field in fields(kind)
        if hints[field.name] in _READERS
    }


def encode(event: Event) -> tuple[str, str]:
    """The event's kind and its body as one line of JSON."""
    body = {field.name: _written(getattr(event, field.name)) for field in fields(event)}
    return type(event).__name__, json.dumps(body, ensure_ascii=False, separators=(",", ":"))


def decode(kind: str, body: str) -> Event:
    """The event that `encode` wrote. ValueError when the text is none."""
    try:
        event: Any = _CLASSES[kind]
        values = json.loads(body)
        for name, read in _readers(event).items():
            values[name] = read(values[name])
        found: Event = event(**values)
        return found
    except (KeyError, TypeError, AttributeError) as error:
        raise ValueError(f"not an event of this program: {kind} {body[:80]}") from error
