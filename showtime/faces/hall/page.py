"""The organiser's page: the hall from above, its day, its noise, its fairness, every stall."""

from __future__ import annotations

from collections.abc import Iterator

from showtime.faces.hall.floor import floor
from showtime.faces.hall.joint import Joint
from showtime.faces.hall.lanes import lanes
from showtime.faces.hall.leaves import page, scrolled, table
from showtime.faces.hall.noise import loudest, noise
from showtime.faces.hall.stall_pages import stall_pages
from showtime.faces.hall.timetable import by_the_clock
from showtime.faces.hall.words import (
    WISHES,
    fairness,
    level_proof,
    level_value,
    percent,
)
from showtime.faces.report.drawing import text_of


def hall_page(joint: Joint) -> str:
    """All of it in one file; without scripts it is complete but for the slider."""
    parts = [*_day(joint), *_good(joint), *_fair(joint), *_noise(joint)]
    parts += [*by_the_clock(joint), "<h2>Every stall</h2>", *stall_pages(joint)]
    return page(joint.hall, "The joint plan of all stalls", parts, script=True)


def _day(joint: Joint) -> Iterator[str]:
    hall = joint.hall
    seconds = hall.hours.length.total_seconds()
    yield (
        f'<section id="day" data-opens="{hall.hours.start.timestamp():.0f}" '
        f'data-zone="{text_of(hall.timezone.key)}"><h2>Who sounds when</h2>'
        '<div class="hour" id="hour" hidden>'
        '<b id="shown"></b><label for="slide">Time of day</label>'
        f'<input type="range" id="slide" min="0" max="{seconds:.0f}" step="60" value="0">'
        '<button type="button" id="earlier">Start before</button>'
        '<button type="button" id="later">Start after</button>'
        '<span class="unseen" id="told" role="status"></span></div>'
    )
    if hall.names:
        yield scrolled("the hall from above", floor(hall, linked=True))
        yield '<ul id="sounding"></ul>'
        yield scrolled("who sounds when", lanes(joint))
        yield (
            "<p>Filled: the stall plays. The line beneath it: it must be silent because others "
            "play. Shaded: its own quiet times. Dotted lines join stalls that count together.</p>"
        )
        yield '<nav aria-label="Stalls"><ul>'
        for number, name in enumerate(hall.names, start=1):
            yield f'<li><a href="#stall-{number}">{number} {text_of(name)}</a></li>'
        yield "</ul></nav>"
    yield "</section>"


def _good(joint: Joint) -> Iterator[str]:
    if not joint.plan.levels:
        return
    yield "<h2>How good the plan is</h2>"
    rows = [
        [WISHES[level.name], level_value(level), level_proof(level)] for level in joint.plan.levels
    ]
    yield table(("what counts, in this order", "value", ""), rows, numbers=(1,), name="levels")


def _fair(joint: Joint) -> Iterator[str]:
    plan = joint.plan
    yield "<h2>How fair it is</h2>"
    yield f"<p>{text_of(fairness(plan))}</p>"
    rows = [
        [
            f"{number + 1} {text_of(name)}",
            str(len(given)),
            str(alone),
            percent(share),
            f'<div class="bar"><i style="width:{min(share, 1):.1%}"></i></div>',
        ]
        for number, (name, given, alone, share) in enumerate(
            zip(plan.hall.names, plan.performances, plan.alone, plan.shares, strict=True)
        )
    ]
    heads = ("stall", "given", "could have alone", "share", "")
    yield table(heads, rows, numbers=(1, 2, 3), name="shares")


def _noise(joint: Joint) -> Iterator[str]:
    yield "<h2>Noise at each stall, estimated</h2>"
    if not joint.levels_told:
        yield "<p>No stall tells how loud its pieces are, so nothing can be said of noise.</p>"
        return
    yield (
        "<p>The mean level of all other stalls together, over the time before. Dashed: what is "
        "allowed.</p>"
    )
    yield scrolled("noise at each stall", noise(joint))
    every = [loudest(joint.hall, each) for those in joint.heard for each in those]
    yield "<details><summary>The same in words</summary><ul>"
    yield from (f"<li>{text_of(each)}</li>" for each in every)
    yield "</ul></details>"
