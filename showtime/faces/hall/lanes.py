"""Who sounds when: a lane over the day for each stall."""

from __future__ import annotations

from collections.abc import Iterator

from showtime.faces.hall.axis import LEFT, RIGHT, Axis, lane_name
from showtime.faces.hall.joint import Joint
from showtime.faces.hall.words import hall_clock
from showtime.faces.report.drawing import box, line, picture, text_of
from showtime.fair import Performance
from showtime.fair.hall import HallDay

_ROW = 26.0


def lanes(joint: Joint) -> str:
    """A lane for each stall: where it plays, and where it must not because others do."""
    hall, axis = joint.hall, Axis(joint.hall)
    high = 34 + _ROW * len(hall.names) + 10

    def marks() -> Iterator[str]:
        yield from axis.ticks(26, high - 8, 18)
        for number, name in enumerate(hall.names):
            y = 30 + _ROW * number
            yield lane_name(number, name, y + 16)
            for quiet in hall.days[number].quiet:
                left = axis.x(quiet.forbidden.start)
                yield box(left, y + 2, axis.x(quiet.forbidden.end) - left, _ROW - 4, "band")
            yield from _silences(joint, axis, number, y + _ROW - 7)
            for each in joint.plan.performances[number]:
                yield _played(hall, axis, number, each, y + 4)
        yield f'<g class="hand" data-left="{LEFT}" data-right="{RIGHT}">'
        yield f"{line([(LEFT, 24), (LEFT, high - 4)], 'red', 2)}</g>"

    told = f"A lane for each of {len(hall.names)} stalls; the same stands in the timetable below."
    return picture("Who sounds when", told, high, marks())


def _silences(joint: Joint, axis: Axis, number: int, y: float) -> Iterator[str]:
    """A thin line beneath the lane while neighbours play and this stall must not."""
    for quiet in joint.handouts[number].quiet:
        left, right = axis.x(quiet.forbidden.start), axis.x(quiet.forbidden.end)
        if right > left:
            yield line([(left, y), (right, y)], "faint", 3)


def _played(hall: HallDay, axis: Axis, number: int, each: Performance, y: float) -> str:
    left, right = axis.x(each.starts), axis.x(each.ends)
    begins, ends = ((m - hall.hours.start).total_seconds() for m in (each.starts, each.ends))
    named = f"{hall_clock(hall, each.starts)} {hall.names[number]}: {each.piece.name}"
    return (
        f'<g class="play" data-stall="{number}" data-from="{begins:g}" data-until="{ends:g}" '
        f'data-piece="{text_of(each.piece.name).replace(chr(34), "&quot;")}" '
        f'data-ends="{hall_clock(hall, each.ends)}">'
        f"<title>{text_of(named)}</title>{box(left, y, max(right - left, 2), _ROW - 12, 'green')}"
        "</g>"
    )
