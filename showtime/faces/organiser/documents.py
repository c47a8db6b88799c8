"""The hall as one JSON document. Times are ISO 8601 with their offset."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from showtime.faces.organiser.sight import Sight
from showtime.fair.hall import HallDay

if TYPE_CHECKING:
    from showtime.fairnet import HallView, StallView
    from showtime.fairnet.view import QuietNow, Sounds

Document = dict[str, Any]


def status(hall: HallDay, view: HallView, shown: Sight) -> Document:
    """Every stall as it last told of itself, the quiet that was called, and what goes wrong."""
    return {
        "fair": hall.fair,
        "day": hall.date.isoformat(),
        "now": _moment(hall, view.now),
        "plan": str(view.plan_version) if view.plan_version else None,
        "stalls": [_stall(hall, stall) for stall in view.stalls],
        "quiet": [_quiet(hall, view, quiet) for quiet in view.quiet],
        "troubles": list(shown.troubles),
        "absent": list(shown.absent),
    }


def _stall(hall: HallDay, stall: StallView) -> Document:
    return {
        "stall": stall.name,
        "here": stall.here.value,
        "stage": stall.stage or None,
        "playing": _sounds(hall, stall.playing),
        "next": _sounds(hall, stall.next),
        "promised": [_moment(hall, each) for each in stall.promised],
        "follows": str(stall.follows) if stall.follows else None,
        "caps": [
            {"why": cap.why, "used": cap.used, "limit": cap.limit, "shown": cap.shown}
            for cap in stall.caps
        ],
        "trouble": stall.trouble,
        "clock_apart_seconds": round(stall.clock_apart, 3),
        "last_heard": _moment(hall, stall.last_heard) if stall.last_heard else None,
    }


def _quiet(hall: HallDay, view: HallView, quiet: QuietNow) -> Document:
    return {
        "call": quiet.call,
        "why": quiet.why,
        "from": _moment(hall, quiet.span.start),
        "until": _moment(hall, quiet.span.end),
        "by": quiet.by,
        "lifted": quiet.lifted,
        "kept_by": [stall.name for stall in view.stalls if quiet.call in stall.heeds],
    }


def _sounds(hall: HallDay, sounds: Sounds | None) -> Document | None:
    if sounds is None:
        return None
    starts, ends = _moment(hall, sounds.span.start), _moment(hall, sounds.span.end)
    return {"piece": sounds.piece, "starts": starts, "ends": ends}


def _moment(hall: HallDay, moment: datetime) -> str:
    return hall.local(moment).isoformat()
