"""The day as a timetable: by the clock, and stall by stall."""

from __future__ import annotations

from collections.abc import Iterator

from showtime.faces.hall.joint import Joint
from showtime.faces.hall.leaves import page, table
from showtime.faces.hall.words import counted, hall_clock
from showtime.faces.report.drawing import text_of


def timetable(joint: Joint) -> str:
    """A page of its own, to be put on a screen or sent about."""
    return page(joint.hall, "Timetable", [*by_the_clock(joint), *by_stall(joint)])


def by_the_clock(joint: Joint) -> Iterator[str]:
    """Every start in order of time, with who plays what until when."""
    hall = joint.hall
    yield "<h2>By the clock</h2>"
    rows = []
    for moment, those in joint.by_time:
        clock = hall_clock(hall, moment)
        for place, (number, each) in enumerate(those):
            rows.append(
                [
                    clock if place == 0 else f'<span class="again">{clock}</span>',
                    hall_clock(hall, each.ends),
                    f"{number + 1} {text_of(hall.names[number])}",
                    text_of(each.piece.name),
                ]
            )
    yield table(("starts", "ends", "stall", "piece"), rows, numbers=(0, 1), name="by the clock")


def by_stall(joint: Joint) -> Iterator[str]:
    """Each stall's starts, on a line or two."""
    hall = joint.hall
    yield "<h2>Stall by stall</h2>"
    rows = []
    for number, (name, given) in enumerate(zip(hall.names, joint.plan.performances, strict=True)):
        starts = ", ".join(hall_clock(hall, each.starts) for each in given)
        rows.append(
            [
                f"{number + 1} {text_of(name)}",
                counted(len(given), "performance"),
                text_of(starts) or "none",
            ]
        )
    yield table(("stall", "", "starts"), rows, name="stall by stall")
