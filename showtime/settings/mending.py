"""Taking a fault out of a text, so that what lies behind it can be read too."""

from __future__ import annotations


def without_block(text: str, line: int, column: int) -> tuple[str, str] | None:
    """The text with what holds a place (from 0) blanked, and the first line of its block.

    Blanked is the list item, or else the whole top-level block; the lines' numbers stay. None
    when nothing would change.
    """
    lines = text.split("\n")
    line = min(line, len(lines) - 1)
    first = next((n for n in range(line, -1, -1) if _begins_block(lines[n])), 0)
    last = next((n for n in range(line + 1, len(lines)) if _begins_block(lines[n])), len(lines))
    block = lines[first]
    dashes = [n for n in range(first + 1, last) if lines[n].lstrip().startswith("- ")]
    inside_item = lines[line].strip() and not lines[line].lstrip().startswith("- ")
    # A line that begins an item is at fault itself only when the fault is further along it.
    if dashes and dashes[0] <= line and (inside_item or column > _indent(lines[line])):
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
