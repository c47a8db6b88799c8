"""From a character of a YAML value back to its place in the file."""

from __future__ import annotations

from showtime.fair import Where
from showtime.settings import Scalar

_ESCAPE_LENGTHS = {"x": 4, "u": 6, "U": 10}
_LINE_END = "\n"


def place_in(source: str, scalar: Scalar, offset: int) -> Where:
    """Where the character at `offset` of the scalar's text stands in `source`, its file.

    Follows quotes, escapes and folded lines, so that the column is the very character's.
    """
    source = source.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    at, style = _beginning(source, scalar.where)
    text, done = scalar.text, 0
    while done < offset and at < len(source):
        at = _past_continuation(source, at, style)
        run = _blank_run(source, at)
        if text[done].isspace() and _LINE_END in source[at:run]:
            folded = _blank_run(text, done)
            if offset < folded:
                break
            at, done = run, folded
        else:
            at, done = at + _width(source, at, style), done + 1
    at = _past_continuation(source, at, style)
    return _counted(source, min(at, len(source)), scalar.where.file)


def _beginning(source: str, where: Where) -> tuple[int, str]:
    """The offset of the scalar's first character, and the sign of its style ("" when plain)."""
    at = 0
    for _ in range(where.line - 1):
        at = source.index(_LINE_END, at) + 1
    at += where.column - 1
    while source[at : at + 1] in ("&", "!"):  # an anchor or a tag stands before the value
        while at < len(source) and not source[at].isspace():
            at += 1
        at = _blank_run(source, at)
    sign = source[at : at + 1]
    if sign in ("'", '"'):
        return at + 1, sign
    if sign in ("|", ">") and sign:
        return _blank_run(source, source.index(_LINE_END, at)), sign
    return at, ""


def _blank_run(text: str, at: int) -> int:
    while at < len(text) and text[at].isspace():
        at += 1
    return at


def _past_continuation(source: str, at: int, style: str) -> int:
    """Behind a backslash that ends a line of double-quoted text, which stands for nothing."""
    while style == '"' and source.startswith("\\\n", at):
        at = _blank_run(source, at + 1)
    return at


def _width(source: str, at: int, style: str) -> int:
    """How many characters of the file stand for the value's next character."""
    if style == '"' and source[at] == "\\":
        return _ESCAPE_LENGTHS.get(source[at + 1 : at + 2], 2)
    return 2 if style == "'" and source.startswith("''", at) else 1


def _counted(source: str, at: int, file: str) -> Where:
    begun = source.rfind(_LINE_END, 0, at) + 1
    return Where(file, source.count(_LINE_END, 0, at) + 1, at - begun + 1)
