"""One stall's state in words. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from showtime.faces.organiser.sight import Mark, Meter, Row
from showtime.fair.hall import HallDay

if TYPE_CHECKING:
    from showtime.fairnet import HallView, StallView
    from showtime.fairnet.view import CapUsed, PlanVersion, Sounds

_MINUTE = timedelta(minutes=1)

APART = 20.0
"""Seconds: clocks further apart are worth a word, as the stalls' own line minds no more."""


def row(number: int, hall: HallDay, view: HallView, stall: StallView) -> Row:
    """That stall in the list."""
    mark = mark_of(view, stall)
    over = stall.stage == "ended"
    there = over or stall.here.value == "present"
    return Row(
        number=number,
        name=stall.name,
        mark=mark,
        word=_word(mark, stall),
        doing=_doing(hall, view, stall) if there else _absent(hall, view, stall),
        next=_next(hall, view, stall) if there and not over else "",
        follows=_follows(hall, view, stall) if stall.stage else "",
        wrong=wrong(stall),
        meters=_meters(stall.caps),
    )


def mark_of(view: HallView, stall: StallView) -> Mark:
    """What the stall is shown as."""
    if stall.here.value != "present":
        return Mark.GONE
    if sounds(view, stall):
        return Mark.SOUNDING
    return Mark.HELD if stall.stage == "held" else Mark.WAITING


def sounds(view: HallView, stall: StallView) -> bool:
    """True while it sounds, as far as is known."""
    return stall.playing is not None and view.now < stall.playing.span.end


def wrong(stall: StallView) -> tuple[str, ...]:
    """What is amiss at the stall itself."""
    found = [stall.trouble] if stall.trouble else []
    if abs(stall.clock_apart) > APART:
        side = "ahead" if stall.clock_apart > 0 else "behind"
        found.append(f"its clock is {_length(abs(stall.clock_apart))} {side}")
    found += [
        f"over a cap: {cap.shown} now; {cap.why}" for cap in stall.caps if cap.share > 1 + 1e-9
    ]
    return tuple(found)


def _word(mark: Mark, stall: StallView) -> str:
    if mark is Mark.SOUNDING:
        return "sounds"
    if mark is Mark.GONE:
        if stall.stage == "ended":
            return "ended"
        return "gone" if stall.here.value == "gone" else "not here"
    if mark is Mark.HELD:
        return "held"
    return "ended" if stall.stage == "ended" else "silent"


def _doing(hall: HallDay, view: HallView, stall: StallView) -> str:
    if stall.playing is not None and sounds(view, stall):
        return _plays(hall, view.now, stall.playing)
    if stall.stage == "held":
        return "Nothing starts until its keeper lets it go on"
    if stall.stage == "ended":
        return "Its day is over"
    return "" if stall.next else "Nothing more today"


def _plays(hall: HallDay, now: datetime, playing: Sounds) -> str:
    return (
        f"{playing.piece}, {minutes(playing.span.end - now)} still, "
        f"until {hall.local(playing.span.end):%H:%M}"
    )


def _absent(hall: HallDay, view: HallView, stall: StallView) -> str:
    if stall.last_heard is None:
        return "Nothing was heard of it yet"
    heard = f"Last heard of at {hall.local(stall.last_heard):%H:%M:%S}"
    if stall.playing is not None and sounds(view, stall):
        until = hall.local(stall.playing.span.end)
        return f"{heard}; it may sound until {until:%H:%M} ({stall.playing.piece})"
    return f"{heard}; it goes on by the last plan that it has"


def _next(hall: HallDay, view: HallView, stall: StallView) -> str:
    if stall.next is None:
        return ""
    starts = stall.next.span.start
    told = ", promised" if starts in stall.promised else ""
    soon = f"in {minutes(starts - view.now)}" if starts > view.now else "now"
    return f"Next {hall.local(starts):%H:%M} {stall.next.piece}, {soon}{told}"


def _follows(hall: HallDay, view: HallView, stall: StallView) -> str:
    if stall.follows is None:
        return "Goes by a plan of its own"
    if stall.follows == view.plan_version:
        return "Goes by the fair's plan"
    return f"Goes by another plan, {plan_told(hall, stall.follows)}"


def plan_told(hall: HallDay, version: PlanVersion) -> str:
    """Which plan that is, for a person: the number is the millisecond at which it was handed out,
    unless several were at once."""
    try:
        handed = hall.local(datetime.fromtimestamp(version.number / 1000, UTC))
    except (OverflowError, ValueError, OSError):
        return f"number {version.number} of {version.desk}"
    return f"that of {handed:%H:%M:%S} from {version.desk}"


def _meters(caps: Sequence[CapUsed]) -> tuple[Meter, ...]:
    return tuple(Meter(cap.why, f"now {cap.shown}", _percent(cap.share)) for cap in caps)


def _percent(share: float) -> int:
    return round(100 * min(max(share, 0.0), 9.99))


def minutes(length: timedelta) -> str:
    """Whole minutes, the last one begun counted as one."""
    whole = max(1, -(-length // _MINUTE))
    if length < _MINUTE:
        return "less than 1 min"
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"


def _length(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"
