"""What each picture shows, as text, so that a change is noticed without a browser."""

from __future__ import annotations

import hashlib
import io
import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from showtime.faces.pages.bill import bill as told_to_visitors
from showtime.faces.pages.keeper_view import View
from showtime.faces.pages.sheets import HERE as PAGES
from showtime.faces.pages.sheets import sheets, templates
from showtime.faces.screen import bill
from showtime.faces.timeline import timeline
from tests.pictures.demo import FOLDER, SUMS, Demo

COLUMNS, LINES = 80, 24
INK, GROUND = "#e6e3da", "#14161a"


def on_a_terminal(shown: Any, height: int | None = None) -> Any:
    """A rich console that has recorded what it was shown, in inks that can be reversed."""
    from rich.console import Console
    from rich.styled import Styled

    console = Console(
        file=io.StringIO(), record=True, width=COLUMNS, height=height, force_terminal=True,
        color_system="truecolor", legacy_windows=False, _environ={},
    )  # fmt: skip
    console.print(Styled(shown, f"{INK} on {GROUND}"))
    return console


def screen(demo: Demo) -> Any:
    state, now = demo.house.day.state, demo.house.clock.now()
    return on_a_terminal(bill(state, now, "", COLUMNS, LINES), LINES)


def planned(demo: Demo) -> Any:
    return on_a_terminal(timeline(demo.plan, COLUMNS))


def board_text(demo: Demo) -> str:
    state, now = demo.house.day.shown(), demo.house.clock.now()
    html = "".join(each.html for each in sheets(state.day, told_to_visitors(state, now)))
    return html + looks("board")


def remote_text(demo: Demo) -> str:
    context = View(demo.house).whole("", "") | {"once": "", "said": ""}
    return str(templates().get_template("keeper.html").render(context)) + looks("keeper")


def looks(name: str) -> str:
    """What a browser is told of a page's looks."""
    files = (f"templates/{name}.html", f"static/{name}.css", f"static/{name}.js")
    return "".join((PAGES / file).read_text("utf-8") for file in files)


def sheet_text(demo: Demo, kind: str) -> str:
    """A sheet's words, sorted since readers of PDFs differ in that, and the form that sets them."""
    import pypdfium2

    with pypdfium2.PdfDocument(demo.sheet(kind)) as pdf:
        words = pdf[0].get_textpage().get_text_bounded().split()
    form = {"bill": "bill.typ", "neighbours": "neighbour.typ"}[kind]
    forms = [PAGES.parent / "paper" / name for name in (form, "common.typ")]
    return " ".join([*sorted(words), *(file.read_text("utf-8") for file in forms)])


@dataclass(frozen=True)
class Picture:
    """One face: what it shows, as text; the sheet or the console that its picture is taken of."""

    name: str
    shows: Callable[[Demo], str]
    paper: str = ""
    console: Callable[[Demo], Any] | None = None

    @property
    def file(self) -> Path:
        return FOLDER / f"{self.name}.png"

    def sum(self, demo: Demo) -> str:
        seen = re.sub(r"\s+", " ", self.shows(demo))
        return hashlib.sha256(seen.encode()).hexdigest()


PICTURES = (
    Picture("screen", lambda demo: screen(demo).export_text(), console=screen),
    Picture("plan", lambda demo: planned(demo).export_text(), console=planned),
    Picture("board", board_text),
    Picture("board-wide", board_text),
    Picture("remote", remote_text),
    Picture("bill", lambda demo: sheet_text(demo, "bill"), paper="bill"),
    Picture("neighbour", lambda demo: sheet_text(demo, "neighbours"), paper="neighbours"),
    Picture("report", lambda demo: demo.report),
)


def kept_sums() -> dict[str, str]:
    return dict(json.loads(SUMS.read_text("utf-8"))) if SUMS.is_file() else {}


def stale(demo: Demo) -> list[str]:
    """The pictures that show what is no longer so."""
    kept = kept_sums()
    return [each.name for each in PICTURES if kept.get(each.name) != each.sum(demo)]
