"""The audit on the terminal: a table, a plot of how much there is to say, and what to mend."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log10
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from showtime.faces.variety import Document, figure, name_of, remarks

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderResult
    from rich.text import Text

WIDTH = 80
"""Columns at most; more only makes long lines."""

MOST = 12
"""Remarks of one kind that are shown."""

_NAME, _FIGURE = 25, 12
_TITLE, _BAR, _LESS, _FAINT, _WARN = "bold", "dark_orange3", "color(65)", "grey50", "dark_goldenrod"
_STEPS, _TYPED_STEPS = "▁▂▃▄▅▆▇█", "12345678"
_TYPED = str.maketrans({"█": "#", "░": ":", "│": "|", "·": ".", "×": "x", "—": "-"})


@dataclass(frozen=True)
class Page:
    """What rich prints of an audit; bare of styles without `colour`."""

    found: Document
    colour: bool

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        from rich.text import Text

        width = min(WIDTH, max(options.max_width, 40))
        for line in _lines(self.found, width, typed=options.ascii_only):
            if options.ascii_only:
                line.plain = line.plain.translate(_TYPED)
            yield line if self.colour else Text(line.plain)


def _lines(found: Document, width: int, *, typed: bool) -> Iterator[Text]:
    rows = found["situations"]
    yield _line((f"What the figure can say ({found['language']})", _TITLE))
    yield _line()
    yield from _table(rows)
    yield _line()
    yield from _plot(rows, width)
    yield _line()
    yield from _shares(rows, width, _TYPED_STEPS if typed else _STEPS)
    for heading, lines in remarks(found):
        yield _line()
        yield _line((heading.capitalize(), _WARN))
        for line in lines[:MOST]:
            yield from map(_line, _wrapped(line, width))
        if len(lines) > MOST:
            yield _line(f"  and {len(lines) - MOST} more; --json has them all")


def _wrapped(line: str, width: int) -> list[str]:
    """The line in the page's width; files beneath this folder by their short names."""
    short = line.replace(f"{Path.cwd()}/", "")
    return wrap(short, width, initial_indent="  ", subsequent_indent="      ")


def _table(rows: list[Document]) -> Iterator[Text]:
    heads = f"{'templates':>9}{'seconds':>9}{'distinct-1/2/3':>16}{'a repeat after':>19}"
    yield _line(("situation".ljust(_NAME) + heads, _FAINT))
    for row in rows:
        runs = " ".join(f"{row[f'distinct_{n}']:.2f}".lstrip("0") for n in (1, 2, 3))
        lengths = f"{row['shortest']['seconds']:.0f}-{row['longest']['seconds']:.0f}"
        yield _line(
            name_of(row).ljust(_NAME),
            f"{row['templates']:>9}{lengths:>9}{runs:>16}{_repeats(row):>19}",
        )
    yield _line(
        (
            "A repeat after so many answers: by chance / as it remembers (130 were tried).".ljust(
                _NAME
            ),
            _FAINT,
        )
    )


def _repeats(row: Document) -> str:
    likely, kept = row["repeat_after"]["likely"], row["repeat_after"]["with_memory"]
    return f"{figure(likely)} / {'later' if kept is None else kept}"


def _plot(rows: list[Document], width: int) -> Iterator[Text]:
    """Different sentences on a scale of powers of ten; the part that differs by ear is solid."""
    room = max(width - _NAME - _FIGURE - 2, 10)
    most = max((row["distinct"] for row in rows), default=1)
    decades = max(3.0, log10(max(most, 1)) if most < 10**300 else float(len(str(most))))

    def columns(number: int | None) -> int:
        size = log10(number) if number else 0.0
        return min(room, max(1, round(room * size / decades)))

    yield _line(
        ("different sentences  ", _TITLE), ("█ by ear too  ", _BAR), ("░ small words", _LESS)
    )
    for row in rows:
        whole = columns(row["distinct"])
        ear = min(columns(row["distinct_by_ear"]), whole) if row["distinct_by_ear"] else whole
        yield _line(
            name_of(row).ljust(_NAME),
            ("█" * ear, _BAR),
            ("░" * (whole - ear), _LESS),
            f" {figure(row['distinct'])}",
        )
    yield _line((" " * _NAME + _scale(room, decades), _FAINT))


def _scale(room: int, decades: float) -> str:
    """Powers of ten beneath their columns, as many as there is room for."""
    line = ""
    each = max(1, -(-int(decades) * 6 // room))
    for power in range(0, int(decades) + 1, each):
        place = round(room * power / decades)
        if len(line) <= place:
            line = line.ljust(place) + (f"10^{power}" if power > 3 else f"{10**power:,}")
    return line


def _shares(rows: list[Document], width: int, steps: str) -> Iterator[Text]:
    """One sign for each template, as high as it was heard often; all even would be half high."""
    yield _line(("how often each template is heard", _TITLE), ("  even ones are half high", _FAINT))
    room = width - _NAME
    for row in rows:
        even = 1 / len(row["shares"])
        marks = "".join(_step(share["heard"] / even, steps) for share in row["shares"])
        for start in range(0, len(marks), room):
            name = name_of(row) if start == 0 else ""
            yield _line(name.ljust(_NAME), (marks[start : start + room], _BAR))


def _step(of_even: float, steps: str) -> str:
    return steps[min(max(round(of_even * len(steps) / 2) - 1, 0), len(steps) - 1)]


def _line(*parts: str | tuple[str, str]) -> Text:
    from rich.text import Text

    return Text.assemble(*parts)
