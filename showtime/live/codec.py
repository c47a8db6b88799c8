"""Events to and from the text that the journal keeps.

The text of an event is a JSON list of its fields, in the order in which its class names them: that
is read in less than half the time of an object with names. So a field that is added to an event
stands at the end and has a default, and the lists that were written before it can still be read.
Any other change makes a new `VERSION`, and a small step from the one before.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import MISSING, fields
from datetime import date, datetime
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from showtime.live.events import KINDS, Event, Slot
from showtime.wording import Kind

VERSION = 2
"""Of the way events are written. In version 1 they were objects: {"at": ..., "why": ...}."""

_LONELY = re.compile("[\ud800-\udfff]")
"""Half a character, as the command line makes it of bytes that are no text: is escaped."""

_CLASSES: dict[str, type[Event]] = {kind.__name__: kind for kind in KINDS}


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
    date: date.fromisoformat,
    Slot: _slot,
    Kind: Kind,
}
"""How a value is read by its type; one whose type stands not here is in the text as it is."""


def _reader_of(hint: Any) -> Callable[[Any], Any] | None:
    """How a field is read: its own type, one that may be None, or many in a tuple."""
    read = _READERS.get(hint)
    inside = [_READERS[inner] for inner in get_args(hint) if inner in _READERS]
    if read is not None or not inside:
        return tuple if get_origin(hint) is tuple else read
    read_one = inside[0]
    if get_origin(hint) is tuple:
        return lambda values: tuple(map(read_one, values))
    return lambda value: None if value is None else read_one(value)


@cache
def _names(kind: str) -> tuple[str, ...]:
    return tuple(field.name for field in fields(_CLASSES[kind]))


@cache
def _reader(kind: str) -> Callable[[Any], Event]:
    """What makes an event of one kind from its list.

    It fills the event's slots one by one: going through `__init__`, which a frozen dataclass makes
    slow, costs twice as much, and after a long day a hundred thousand events are to be read.
    """
    made: Any = _CLASSES[kind]
    names, hints = _names(kind), get_type_hints(made)
    fillers = [getattr(made, name).__set__ for name in names]
    defaults = [field.default for field in fields(made)]
    readers = [
        (place, reader)
        for place, name in enumerate(names)
        if (reader := _reader_of(hints[name])) is not None
    ]
    new = made.__new__

    def read(values: Any) -> Event:
        if type(values) is not list:
            values = _from_version_1(kind, values)
        given = len(values)
        if given != len(fillers):
            values.extend(map(_written, defaults[given:]))
            if MISSING in values or given > len(fillers):
                raise ValueError(f"{given} values are no {kind}")
        for place, reader in readers:
            values[place] = reader(values[place])
        event: Event = new(made)
        for fill, value in zip(fillers, values, strict=True):
            fill(event, value)
        return event

    return read


def _from_version_1(kind: str, values: dict[str, Any]) -> list[Any]:
    """The list for what was an object with the fields' names."""
    return [values[name] for name in _names(kind) if name in values]


def encode(event: Event) -> tuple[str, str]:
    """The event's kind and its body as one line of JSON."""
    kind = type(event).__name__
    body = [_written(getattr(event, name)) for name in _names(kind)]
    text = json.dumps(body, ensure_ascii=False, separators=(",", ":"))
    if not text.isascii() and _LONELY.search(text):
        text = json.dumps(body, separators=(",", ":"))
    return kind, text


def decode(kind: str, body: str | bytes) -> Event:
    """The event that `encode` wrote. ValueError when the text is none."""
    text = body if isinstance(body, bytes) else body.encode("utf-8", "replace")
    return decode_all([kind], [text])[0]


def decode_all(kinds: Sequence[str], bodies: Sequence[bytes]) -> list[Event]:
    """Events from their kinds and bodies. ValueError when one of them is none."""
    try:
        values = json.loads(b"[" + b",".join(bodies) + b"]")
        readers = {kind: _reader(kind) for kind in set(kinds)}
        return [readers[kind](value) for kind, value in zip(kinds, values, strict=True)]
    except (KeyError, IndexError, TypeError, AttributeError, RecursionError) as error:
        raise ValueError(f"not an event of this program: {error!r}"[:200]) from error
