"""How what the hall says changes the state: what it lays upon the day, and who gave way."""

from __future__ import annotations

from dataclasses import replace

from showtime.live import events as happened
from showtime.live.hallbounds import HallBounds, laid_upon
from showtime.live.slot import Hush
from showtime.live.tally import Tally


def hall_planned(tally: Tally, event: happened.HallPlanned) -> None:
    """What becomes of the rest of the day, and of others' times, follows in other events."""
    _now(tally, replace(tally.hall, planned=event.slots, beside=event.hushes))


def others_play(tally: Tally, event: happened.OthersPlay) -> None:
    _now(tally, replace(tally.hall, others=event.hushes))


def hall_hushed(tally: Tally, event: happened.HallHushed) -> None:
    if event.hush.end > event.hush.start:
        _now(tally, tally.hall.calling(event.call, event.hush))


def hush_lifted(tally: Tally, event: happened.HushLifted) -> None:
    """It was quiet until now."""
    hush = tally.hall.hush(event.call)
    if hush is not None:
        was = Hush(hush.start, event.at, hush.why) if hush.start < event.at < hush.end else None
        _now(tally, tally.hall.calling(event.call, was))


def hall_capped(tally: Tally, event: happened.HallCapped) -> None:
    _now(tally, replace(tally.hall, caps=event.caps))


def gave_way(tally: Tally, event: happened.GaveWay) -> None:
    tally.leave_out(event.slot)


def _now(tally: Tally, hall: HallBounds) -> None:
    tally.day = laid_upon(tally.day, tally.hall, hall)
    tally.hall = hall
