"""What the organiser's pages are made of: their shell, their tables, and how they look."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path

from showtime.faces.hall.words import CAUTION
from showtime.faces.report.drawing import INKS, style, text_of
from showtime.fair.hall import HallDay

_THERE = Path(__file__).parent
_PAPER = ("#fbf6ea", "#211b16")


def page(hall: HallDay, subject: str, body: Iterable[str], *, script: bool = False) -> str:
    """A whole page: one file that works offline, and that loads nothing from anywhere."""
    code = (_THERE / "hall.js").read_text("utf-8") if script else ""
    digest = base64.b64encode(hashlib.sha256(code.encode()).digest()).decode()
    # Whatever a name may hold: only our own script runs, if any.
    runs = f" script-src 'sha256-{digest}';" if script else ""
    return "\n".join(
        [
            "<!DOCTYPE html>",
            '<html lang="en"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width,initial-scale=1">',
            '<meta http-equiv="Content-Security-Policy" '
            f"content=\"default-src 'none'; style-src 'unsafe-inline';{runs}\">",
            f"<title>{text_of(f'{hall.fair}, {hall.date}: {subject}')}</title>"
            f"<style>{_styles()}</style></head><body>",
            f"<header><p>{text_of(subject)}</p><h1>{text_of(hall.fair)}</h1>"
            f"<p>{hall.date:%A %d %B %Y}, open from {_open(hall)}</p></header><main>",
            *body,
            f"</main><footer><p>{text_of(CAUTION)}</p></footer>",
            f"<script>{code}</script></body></html>" if script else "</body></html>",
        ]
    )


def _open(hall: HallDay) -> str:
    opens, closes = hall.local(hall.hours.start), hall.local(hall.hours.end)
    return f"{opens:%H:%M} to {closes:%H:%M}"


@cache
def _styles() -> str:
    def inks(place: int) -> str:
        each = "".join(f"--{name}:{colours[place]};" for name, colours in INKS.items())
        return f":root{{--paper:{_PAPER[place]};{each}}}{style(bool(place))}"

    dark = f"@media screen and (prefers-color-scheme:dark){{{inks(1)}}}"
    look = (_THERE / "hall.css").read_text("utf-8")
    return f":root{{color-scheme:light dark}}{inks(0)}{look}{dark}@media print{{{inks(0)}}}"


def table(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    numbers: Iterable[int] = (),
    name: str = "table",
) -> str:
    """A table whose first column names its rows; cells are ready-made HTML."""
    right = dict.fromkeys(numbers, ' class="n"')
    body = "".join(
        "<tr>"
        + "".join(
            f'<th scope="row"{right.get(n, "")}>{cell}</th>'
            if n == 0
            else f"<td{right.get(n, '')}>{cell}</td>"
            for n, cell in enumerate(row)
        )
        + "</tr>"
        for row in rows
    )
    if not body:
        return "<p>None.</p>"
    head = "".join(
        f'<th scope="col"{right.get(n, "")}>{text_of(each)}</th>' if each else "<td></td>"
        for n, each in enumerate(heads)
    )
    return scrolled(name, f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>")


def scrolled(name: str, inside: str) -> str:
    """What is wider than a telephone can be moved, also by keys."""
    label = text_of(name).replace('"', "&quot;")
    return f'<div class="scroll" role="group" aria-label="{label}" tabindex="0">{inside}</div>'
