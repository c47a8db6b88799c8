"""The YAML parser's complaints in a person's words, at the place where a person would look."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from showtime.fair import Where

if TYPE_CHECKING:
    import yaml

_UNPRINTABLE = re.compile(
    "[^\t\n\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_IN_QUOTES = "put the text in quotes"

# A part of the parser's words -> what a person can do about it; the first that fits is used.
_COMPLAINTS = (
    ("exceeded", "this is nested too deep"),
    ("tab", "a tab indents this line; indent with spaces"),
    ("scanning a quoted scalar", "this quote is never closed; add the closing quote"),
    ("found unexpected end of stream", "this quote is never closed; add the closing quote"),
    (
        "unknown escape character",
        "a backslash in double quotes begins an escape that does not exist; write \\\\ for a"
        " backslash, or use single quotes",
    ),
    ("cannot start any token", "text cannot begin with {token!r}; " + _IN_QUOTES),
    (
        "mapping values are not allowed",
        "a ':' here does not belong to a key; indent the line as its neighbours are, or, if it is"
        " part of a text, " + _IN_QUOTES,
    ),
    ("could not find expected ':'", "this line has no ':' after its key; write key: value"),
    (
        "expected '-' indicator",
        "a list goes on here without '-'; begin the line with '- ', or indent it as keys are",
    ),
    ("scanning an anchor", "'&' begins an anchor, which needs a name; " + _IN_QUOTES),
    ("scanning an alias", "'*' begins an alias, which needs a name; " + _IN_QUOTES),
    ("tag", "'!' begins a tag, which has no meaning here; " + _IN_QUOTES),
    ("incompatible YAML document", "this is not a version of YAML known here; leave the line out"),
    (
        "<document start>",
        "nothing belongs to this line; indent it as the lines before it are",
    ),
    (
        "block scalar",
        "after '|' or '>' the text begins on the next line; if it is no long text, " + _IN_QUOTES,
    ),
    (
        "expected key",
        "{token!r} is out of place; indent the line as its neighbours are, close what is open, or"
        " put a text that holds it in quotes",
    ),
    ("node content", "{token!r} is out of place; write a key, a colon and a value"),
)


def complaint(error: yaml.YAMLError, text: str, file: str) -> tuple[Where, str]:
    """Where a person should look, and what to do there."""
    mark = getattr(error, "problem_mark", None)
    context = getattr(error, "context_mark", None)
    said = f"{getattr(error, 'context', '') or ''}: {getattr(error, 'problem', '') or error}"
    if "',' or '" in said:
        return _unclosed(said, context, mark, text, file)
    begun_earlier = "quoted scalar" in said and "escape" not in said or "expected ':'" in said
    place = at(context if begun_earlier and context else mark, text, file)
    token = text.split("\n")[place.line - 1][place.column - 1 : place.column] or "the end"
    for part, words in _COMPLAINTS:
        if part in said:
            return place, words.format(token=token)
    return place, f"this is not YAML ({said.strip(': ')}); look at the indentation and the quotes"


def _unclosed(
    said: str, context: yaml.Mark | None, mark: yaml.Mark | None, text: str, file: str
) -> tuple[Where, str]:
    closing = "}" if "'}'" in said else "]"
    opened, stopped = at(context, text, file), at(mark, text, file)
    if opened.line != stopped.line:
        opening = "{" if closing == "}" else "["
        return opened, f"this {opening!r} is never closed; add {closing!r} where it ends"
    token = text.split("\n")[stopped.line - 1][stopped.column - 1 : stopped.column]
    if not token:
        return opened, f"this is never closed; add {closing!r} where it ends"
    return stopped, (
        f"{token!r} is out of place; write ',' or {closing!r} before it, or put the text that"
        " holds it in quotes"
    )


def at(mark: yaml.Mark | None, text: str, file: str) -> Where:
    """The mark counted from 1; one beyond the end of the text is moved to its end."""
    line, column = (mark.line, mark.column) if mark else (0, 0)
    lines = text.rstrip("\n").split("\n")
    if line >= len(lines):
        line, column = len(lines) - 1, len(lines[-1])
    return Where(file, line + 1, min(column, len(lines[line])) + 1)


def unprintable(text: str, file: str) -> list[tuple[Where, str]]:
    """Characters that no YAML file may hold, or that count as line ends in no editor."""
    found = []
    for hit in _UNPRINTABLE.finditer(text):
        line = text.count("\n", 0, hit.start())
        column = hit.start() - (text.rfind("\n", 0, hit.start()) + 1)
        code = f"U+{ord(hit.group()):04X}"
        found.append((Where(file, line + 1, column + 1), f"a hidden character ({code}); delete it"))
        if len(found) == 20:
            break
    return found


def without_block(text: str, line: int) -> tuple[str, str] | None:
    """The text with what holds `line` (from 0) blanked, and the first line of its block.

    Blanked is the list item, or else the whole top-level block; the lines' numbers stay. None
    when nothing would change.
    """
    lines = text.split("\n")
    line = min(line, len(lines) - 1)
    first = next((n for n in range(line, -1, -1) if _begins_block(lines[n])), 0)
    last = next((n for n in range(line + 1, len(lines)) if _begins_block(lines[n])), len(lines))
    block = lines[first]
    dashes = [n for n in range(first + 1, last) if lines[n].lstrip().startswith("- ")]
    if dashes and dashes[0] <= line and lines[line].strip():
        outermost = min(_indent(lines[n]) for n in dashes)
        items = [n for n in dashes if _indent(lines[n]) == outermost]
        first = max((n for n in items if n <= line), default=first)
        last = next((n for n in items if n > line), last)
    blanked = "\n".join(lines[:first] + [""] * (last - first) + lines[last:])
    return None if blanked == text else (blanked, block)


def _begins_block(line: str) -> bool:
    return bool(line) and line[0] not in " \t#}]-"


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())
