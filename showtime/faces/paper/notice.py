"""The sheets of one day: which there are, and what stands on each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from showtime.faces.paper import neighbours, run_sheet
from showtime.faces.paper.labels import Labels
from showtime.faces.paper.press import pressed
from showtime.faces.paper.setting import by_part_of_day, clock, show_lines, soft
from showtime.fair import Plan, ShowtimeError, Stall

KINDS = ("bill", "neighbours", "keeper")
SIZES = ("A4", "A5")


class NoticeError(ShowtimeError):
    """A sheet that there is nothing for."""


@dataclass(frozen=True)
class Notice:
    """A sheet to be printed: whose day, how large, in which words. `link`: for a QR code on it."""

    stall: Stall
    plan: Plan
    words: Labels
    size: str = "A4"
    link: str = ""


def notice(kind: str, asked: Notice) -> bytes:
    """The PDF of the sheet. NoticeError: there is nobody to print it for."""
    if kind == "neighbours" and not asked.stall.neighbours:
        raise NoticeError(
            "no neighbour to print a sheet for; name them in the settings: "
            "neighbours: [{name: The Lantern Cart, distance: 3 m}]"
        )
    day, words = asked.plan.day, asked.words
    common = {
        "size": asked.size,
        "language": words.language,
        "stall": day.signboard.stall,
        "place": soft(day.signboard.stall),
        "fair": soft(day.signboard.fair),
        "date": words.date(day.date),
        "nothing": words("none"),
    }
    match kind:
        case "neighbours":
            return pressed("neighbour", common | neighbours.sheet(asked.stall, asked.plan, words))
        case "keeper":
            return pressed("keeper", common | run_sheet.sheet(asked.plan, words))
        case _:
            return pressed("bill", common | _bill(asked))


def _bill(asked: Notice) -> dict[str, Any]:
    plan, words = asked.plan, asked.words
    board = plan.day.signboard
    parts = by_part_of_day(plan.day, plan.performances, words)
    return {
        "title": f"{board.figure}, {board.stall}, {words.date(plan.day.date)}",
        "figure": show_lines(board.figure),
        "place": show_lines(board.stall),
        "plays_at": words("plays_at"),
        "parts": [
            {
                "name": name,
                "times": [
                    {"clock": clock(plan.day, each.starts), "piece": soft(each.piece.name)}
                    for each in those
                ],
            }
            for name, those in parts
        ],
        "late": words("late", figure=soft(board.figure)),
        "changes": words("changes", figure=soft(board.figure)),
        "pieces": _lengths(plan, words),
        "link": asked.link,
        "shown_link": soft(asked.link),
        "scan": words("scan"),
        "code": _code(asked.link) if asked.link else None,
    }


def _lengths(plan: Plan, words: Labels) -> str:
    """Each piece that is played, and how long it lasts to the nearest half minute."""
    played: Sequence[str] = [p.piece.name for p in plan.performances]
    pieces = [piece for piece in plan.day.pieces if piece.name in played]
    return " · ".join(
        f"{soft(piece.name)}, "
        + words("minutes", minutes=_minutes(piece.lasts.total_seconds() / 60, words))
        for piece in pieces
    )


def _minutes(minutes: float, words: Labels) -> str:
    halves = max(1, round(minutes * 2))
    return words.number(halves / 2, halves % 2)


def _code(link: str) -> str:
    """The QR code of a link as SVG: ISO/IEC 18004, with the quiet zone of four modules."""
    import segno

    try:
        code = segno.make(link, error="m", micro=False)
    except ValueError as error:
        raise NoticeError(f"--link: {error}; give a shorter address") from None
    drawn = BytesIO()
    code.save(drawn, kind="svg", border=4, dark="#000", light="#fff")
    return drawn.getvalue().decode()
