"""Events to and from the text that the journal keeps.

The text of an event is a JSON list of its fields, in the order in which its class names them: that
is read in less than half the time of an object with names. So a field that is added to an event
stands at the end and has a default, and the lists that were written before it can still be read.
Any other change makes a new `VERSION`, and a small step from the one before.
"""

from __future__ import annotations

import json
import re
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import MISSING, fields
from datetime import date, datetime
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from showtime.live.events import KINDS, Cap, Event, Hush, Said, Slot
from showtime.wording import Kind

VERSION = 2
"""Of the way events are written. In version 1 they were objects: {"at": ..., "why": ...}."""

_LONELY = re.compile("[\ud800-\udfff]")
"""Half a character, as the command line makes it of bytes that are no text: is escaped."""

_CLASSES: dict[str, type[Event]] = {kind.__name__: kind for kind in KINDS}


def _written(value: object) -> object:
    if isinstance(value, Slot):
        return [value.starts.isoformat(), value.piece]
    if isinstance(value, Said):
        return [value.text, value.language]
    if isinstance(value, Hush):
        return [value.start.isoformat(), value.end.isoformat(), value.why]
    if isinstance(value, Cap):
        return [getattr(value, field.name) for field in fields(Cap)]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return [_written(item) for item in value]
    return value


def _said(value: list[str]) -> Said:
    return Said(value[0], value[1])


def _slot(value: list[str]) -> Slot:
    return Slot(datetime.fromisoformat(value[0]), value[1])


def _hush(value: list[str]) -> Hush:
    return Hush(datetime.fromisoformat(value[0]), datetime.fromisoformat(value[1]), value[2])


def _cap(value: list[Any]) -> Cap:
    return Cap(*value)


_READERS: dict[Any, Callable[[Any], Any]] = {
    datetime: datetime.fromisoformat,
    date: date.fromisoformat,
    Slot: _slot,
    Said: _said,
    Hush: _hush,
    Cap: _cap,
    Kind: {kind.value: kind for kind in Kind}.__getitem__,
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
def _reader(kind: str) -> Callable[[list[Any]], list[Event]]:
    """What makes the events of one kind from their lists.

    It goes field by field through all of them and fills the events' slots, four times as fast as
    an `__init__` for each: after a long day a hundred thousand are to be read in a blink.
    """
    made: Any = _CLASSES[kind]
    hints = get_type_hints(made)
    fillers = [getattr(made, name).__set__ for name in _names(kind)]
    readers = [_reader_of(hints[name]) for name in _names(kind)]

    def read(lists: list[Any]) -> list[Event]:
        if set(map(type, lists)) != {list} or set(map(len, lists)) != {len(fillers)}:
            lists = [_complete(kind, values) for values in lists]
        events: list[Event] = [made.__new__(made) for _ in lists]
        columns = zip(*lists, strict=True)
        for fill, reader, column in zip(fillers, readers, columns, strict=True):
            filled = map(fill, events, map(reader, column) if reader else column)
            deque(filled, maxlen=0)  # runs through the map, and keeps nothing of it
        return events

    return read


def _complete(kind: str, values: Any) -> list[Any]:
    """A whole list from an older, shorter one, or from an object of version 1."""
    if isinstance(values, dict):
        values = [values[name] for name in _names(kind) if name in values]
    later = fields(_CLASSES[kind])[len(values) :]
    whole = [*values, *(_written(field.default) for field in later)]
    if MISSING in whole or len(whole) != len(_names(kind)):
        raise ValueError(f"{len(values)} values are no {kind}")
    return whole


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
        lists: dict[str, list[Any]] = {kind: [] for kind in set(kinds)}
        values = json.loads(b"[" + b",".join(bodies) + b"]")
        for kind, value in zip(kinds, values, strict=True):
            lists[kind].append(value)
        of_kind = {kind: iter(_reader(kind)(of_it)) for kind, of_it in lists.items()}
        return [next(of_kind[kind]) for kind in kinds]
    except (KeyError, IndexError, TypeError, AttributeError, RecursionError) as error:
        raise ValueError(f"not an event of this program: {error!r}"[:200]) from error
