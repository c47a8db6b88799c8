"""The YAML parser's complaints in a person's words, at the place where a person would look."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from showtime.fair import Where

if TYPE_CHECKING:
    import yaml

# Characters that YAML bars, and those that it counts as line ends while editors do not.
_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]"
)
_IN_QUOTES = "put the text in quotes"

# After this fault nothing more is read: every later line would have it too.
ENDED_EARLY = "what comes before this is complete without it; indent both in the same way"

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
    ("mapping keys are not allowed", "'?' begins a key; " + _IN_QUOTES),
    (
        "sequence entries are not allowed",
        "a '-' is out of place; begin a line with it, indented as its neighbours are",
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
    ("<document start>", ENDED_EARLY),
    ("directive", "'%' begins a directive; " + _IN_QUOTES),
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


class Places:
    """The lines of a text, for finding places in it again."""

    def __init__(self, text: str, file: str) -> None:
        self.lines = text.rstrip("\n").split("\n")
        self.file = file

    def of(self, mark: Any) -> Where:
        """The mark counted from 1; one beyond the end of the text is moved to its end."""
        line, column = (mark.line, mark.column) if mark else (0, 0)
        if line >= len(self.lines):
            line, column = len(self.lines) - 1, len(self.lines[-1])
        return Where(self.file, line + 1, min(column, len(self.lines[line])) + 1)

    def token(self, where: Where) -> str:
        """The character there; empty at the end of a line."""
        return self.lines[where.line - 1][where.column - 1 : where.column]

    def content_before(self, where: Where) -> Where | None:
        """The beginning of the last line above that is neither empty nor a comment."""
        for number in range(where.line - 1, 0, -1):
            line = self.lines[number - 1]
            if line.strip() and not line.lstrip().startswith("#"):
                return Where(self.file, number, len(line) - len(line.lstrip()) + 1)
        return None


def complaint(error: yaml.YAMLError, places: Places) -> tuple[Where, str]:
    """Where a person should look, and what to do there."""
    mark, context = getattr(error, "problem_mark", None), getattr(error, "context_mark", None)
    said = f"{getattr(error, 'context', '') or ''}: {getattr(error, 'problem', '') or error}"
    if "expected <block end>" in said:  # so says the slower parser, where libyaml is missing
        said += " expected '-' indicator" if "block collection" in said else " expected key"
    if "',' or '" in said:
        return _unclosed(said, places.of(context), places.of(mark), places)
    begun_earlier = "quoted scalar" in said and "escape" not in said or "expected ':'" in said
    place = places.of(context if begun_earlier and context else mark)
    blamed = _begun_wrongly(said, place, places.of(context), places)
    if blamed:
        return blamed
    token = places.token(place)
    if token == "\t":
        return place, "a tab stands here; use spaces"
    if token == "-" and "expected key" in said:
        return place, "a list entry is out of place; indent it as those before it, under its key"
    for part, words in _COMPLAINTS:
        if part in said:
            return place, words.format(token=token or "the end")
    return place, f"this is not YAML ({said.strip(': ')}); look at the indentation and the quotes"


def _begun_wrongly(
    said: str, place: Where, context: Where, places: Places
) -> tuple[Where, str] | None:
    """A fault that lies in the lines before the one where the parser noticed it."""
    before = places.content_before(place)
    if before is None:
        return None
    line = places.lines[before.line - 1]
    at_left_edge = not places.lines[place.line - 1].startswith(" ")
    if "mapping values" in said and at_left_edge and ":" not in line and not line.startswith(" "):
        return before, "this line has no ':' after its key; write key: value"
    first = next(number for number, line in enumerate(places.lines, 1) if _is_content(line))
    beginning = Where(places.file, first, 1)
    if "<document start>" in said and places.lines[first - 1].startswith(" "):
        return beginning, "this line is indented, later ones are not; begin it at the left edge"
    if "expected '-'" in said and context.line == first and at_left_edge:
        return beginning, "a list begins the file, then keys follow; give the list a key above it"
    return None


def _is_content(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _unclosed(said: str, opened: Where, stopped: Where, places: Places) -> tuple[Where, str]:
    closing = "}" if "'}'" in said else "]"
    if opened.line != stopped.line:
        opening = "{" if closing == "}" else "["
        return opened, f"this {opening!r} is never closed; add {closing!r} where it ends"
    token = places.token(stopped)
    if not token:
        return opened, f"this is never closed; add {closing!r} where it ends"
    return stopped, (
        f"{token!r} is out of place; write ',' or {closing!r} before it, or put the text that"
        " holds it in quotes"
    )


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
