"""The command that prints: on paper, and into calendars."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from showtime.cli.options import (
    FILE,
    LIMIT,
    complain,
    desk_of,
    print_json,
    say,
    with_config,
    with_day,
    with_json,
    with_language,
)

if TYPE_CHECKING:
    from showtime.fair import Plan, Stall


@click.command()
@with_config
@with_day
@click.option(
    "--kind",
    type=click.Choice(["bill", "neighbours", "keeper"]),
    default="bill",
    help="A show bill for the stall, a sheet for each neighbour, or your own run sheet.",
)
@click.option("--size", type=click.Choice(["A4", "A5"]), default="A4", help="Of the paper.")
@click.option("--out", type=FILE, metavar="FILE.pdf", help="Where to; default: a name of its own.")
@click.option("--link", default="", metavar="URL", help="A QR code of it stands on the bill.")
@click.option("--calendar", "ics", type=FILE, metavar="FILE.ics", help="The day for calendars.")
@click.option(
    "--alarm",
    type=click.IntRange(min=0, max=1440),
    metavar="MINUTES",
    help="With --calendar: an alarm so long before each start.",
)
@with_language
@with_json
def notice(
    config: Path | None,
    day: str,
    kind: str,
    size: str,
    out: Path | None,
    link: str,
    ics: Path | None,
    alarm: int | None,
    language: str,
    as_json: bool,
) -> None:
    """Print the day: a show bill, the neighbours' sheets, your run sheet, a calendar file.

    With --calendar alone, no sheet is printed. A calendar file that is there already is brought up
    to date: what changed is told as a change, what is gone as called off.

    Example: showtime notice --kind neighbours --size A5
    """
    from showtime.faces.calendar import updated
    from showtime.faces.paper import Notice, labels
    from showtime.faces.paper import notice as printed
    from showtime.faces.written import write

    desk = desk_of(config)
    plan = desk.plan(desk.day(day), LIMIT)
    words = labels(language, desk.stall.signboard.languages[0])
    ring = None if alarm is None else timedelta(minutes=alarm)
    made: list[tuple[Path, bytes]] = []
    if ics is not None:
        made.append((ics, updated(ics, plan.day, plan.performances, desk.clock.now(), ring)))
    if ics is None or out is not None or _is_given("kind"):
        sheet = printed(kind, Notice(desk.stall, plan, words, size, link))
        made.append((out or Path(f"{kind}-{plan.day.date}.pdf"), sheet))
        _mention_fonts(desk.stall, plan)
    for file, content in made:
        write(file, content)
    if as_json:
        print_json(
            {
                "day": plan.day.date.isoformat(),
                "stall": plan.day.signboard.stall,
                "language": words.language,
                "performances": [plan.day.local(start).isoformat() for start in plan.starts],
                "files": [str(file) for file, _ in made],
            }
        )
        return
    for file, _ in made:
        say(f"written: {file}")


def _mention_fonts(stall: Stall, plan: Plan) -> None:
    """Say which signs may be missing on paper."""
    from showtime.faces.paper import not_ours

    board, day = plan.day.signboard, plan.day
    names = [board.fair, board.stall, board.figure, stall.phone]
    names += [piece.name for piece in day.pieces] + [each.name for each in stall.neighbours]
    names += [quiet.why for quiet in day.quiet] + [each.why for each in day.wishes.fixed]
    missing = not_ours(" ".join(names))
    if missing:
        complain(
            f"notice: printed only as far as this computer has a font for them: {missing}; "
            "look at the sheet before you print it"
        )


def _is_given(option: str) -> bool:
    """True when the keeper typed it."""
    from click.core import ParameterSource

    source = click.get_current_context().get_parameter_source(option)
    return source is not ParameterSource.DEFAULT
