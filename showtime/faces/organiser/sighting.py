"""What is known of the hall -> what its organiser is shown. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING

from showtime.faces.organiser.floor import floor
from showtime.faces.organiser.sight import Hush, Mark, Meter, Row, Sight
from showtime.faces.organiser.telling import minutes, row, sounds
from showtime.fair.hall import HallDay
from showtime.planning.hall import SoundingGroup

if TYPE_CHECKING:
    from showtime.fairnet import HallView, StallView
    from showtime.fairnet.view import QuietNow

_AT_ONCE = timedelta(seconds=5)
"""So long a stall may take to fall silent, before that is worth a word."""


def sight(hall: HallDay, groups: Sequence[SoundingGroup], view: HallView) -> Sight:
    """All that is shown; `groups` are the hall's (`sounding_groups`)."""
    rows = tuple(row(n, hall, view, stall) for n, stall in enumerate(view.stalls, 1))
    on_now = [stall for stall in view.stalls if sounds(view, stall)]
    return Sight(
        fair=hall.fair,
        clock=f"{hall.local(view.now):%H:%M}",
        headline=_headline(view, on_now),
        sounding=tuple(
            _sounding(each, stall)
            for each, stall in zip(rows, view.stalls, strict=True)
            if stall in on_now
        ),
        rows=rows,
        floor=floor(rows, hall.places, hall.together),
        hushes=tuple(_hushes(hall, view)),
        troubles=tuple(_troubles(hall, groups, view, rows)),
        absent=tuple(_absent(hall, view, rows)),
        meters=tuple(_meters(groups, view)),
    )


def _headline(view: HallView, on_now: Sequence[StallView]) -> str:
    here = sum(stall.here.value == "present" for stall in view.stalls)
    sound = {0: "none sounds", 1: "1 sounds"}.get(len(on_now), f"{len(on_now)} sound")
    return f"{here} of {len(view.stalls)} here, {sound}"


def _sounding(row: Row, stall: StallView) -> str:
    piece = f": {stall.playing.piece}" if stall.playing else ""
    return f"{row.number} {row.name}{piece}"


def _hushes(hall: HallDay, view: HallView) -> Iterator[Hush]:
    """The quiets that hold or come, the longest first; with none, those that stalls still keep."""
    counted = [stall for stall in view.stalls if stall.stage != "ended"]
    going = [quiet for quiet in view.quiet if quiet.left(view.now)]
    for quiet in sorted(going, key=lambda quiet: quiet.span.end, reverse=True):
        lacking = [stall for stall in counted if quiet.call not in stall.heeds]
        until = f"{hall.local(quiet.span.end):%H:%M}"
        left = _left(hall, view, quiet)
        yield Hush(quiet.call, quiet.why, until, left, len(counted), *_who(lacking))
    keep = [stall for stall in counted if stall.heeds]
    if keep and not going:
        yield Hush("", "", "", "", len(counted), *_who(keep), lifted=True)


def _who(stalls: Sequence[StallView]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Those that are on the line, and those that are not."""
    here = [stall.here.value == "present" for stall in stalls]
    named = list(zip(here, (stall.name for stall in stalls), strict=True))
    return tuple(name for on, name in named if on), tuple(name for on, name in named if not on)


def _left(hall: HallDay, view: HallView, quiet: QuietNow) -> str:
    begins = quiet.span.start
    if begins > view.now:
        return f"From {hall.local(begins):%H:%M}, in {minutes(begins - view.now)}"
    return f"{minutes(quiet.left(view.now))} left"


def _troubles(
    hall: HallDay, groups: Sequence[SoundingGroup], view: HallView, rows: Sequence[Row]
) -> Iterator[str]:
    if view.trouble:
        yield view.trouble
    yield from _in_the_quiet(view)
    yield from _too_many(hall, groups, view)
    for each in rows:
        for line in each.wrong:
            yield f"{each.name}: {line}"


def _absent(hall: HallDay, view: HallView, rows: Sequence[Row]) -> list[str]:
    gone = [row.name for row in rows if row.mark is Mark.GONE and row.word != "ended"]
    return gone if hall.hours.holds(view.now) else []


def _in_the_quiet(view: HallView) -> Iterator[str]:
    for quiet in view.quiet:
        if quiet.lifted or not quiet.span.holds(view.now):
            continue
        if view.now - quiet.span.start < _AT_ONCE:
            continue
        for stall in view.stalls:
            if sounds(view, stall):
                yield f"{stall.name} sounds in the quiet"


def _too_many(hall: HallDay, groups: Sequence[SoundingGroup], view: HallView) -> Iterator[str]:
    seen = set()
    for group in groups:
        on_now = [name for name in _names(hall, group) if sounds(view, view.stall(name))]
        told = f"{' and '.join(on_now)} sound at once; {group.together.why}"
        if len(on_now) > group.most and told not in seen:
            seen.add(told)
            yield told


def _names(hall: HallDay, group: SoundingGroup) -> list[str]:
    return [hall.names[number] for number in sorted(group.stalls)]


def _meters(groups: Sequence[SoundingGroup], view: HallView) -> Iterator[Meter]:
    """How many sound of those that may, where a rule holds for the whole hall."""
    on_now = sum(sounds(view, stall) for stall in view.stalls)
    for group in groups:
        if group.together.within_m is None:
            yield Meter(
                group.together.why,
                f"{on_now} of {group.most} sound now",
                round(100 * on_now / group.most),
            )
