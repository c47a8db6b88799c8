"""How the keeper's events change the state: held, late, called off, added, hushed, undone."""

from __future__ import annotations

from bisect import insort
from dataclasses import replace
from datetime import timedelta

from showtime.fair import QuietInterval, Span
from showtime.live import events as happened
from showtime.live.hallbounds import laid_upon
from showtime.live.state import Outcome
from showtime.live.tally import Tally


def action_taken(tally: Tally, event: happened.ActionTaken) -> None:
    tally.undo = replace(tally.frozen(), undo=None)
    tally.acted_at = event.at
    tally.action = event.words
    tally.set_by = event.at - event.was if event.was else timedelta(0)


def held(tally: Tally, event: happened.Held) -> None:
    tally.hold = event.why
    tally.end_playing(event.at, interrupted=True)


def released(tally: Tally, event: happened.Released) -> None:
    tally.hold = ""
    tally.failing = None


def delayed(tally: Tally, event: happened.Delayed) -> None:
    tally.leave_out(event.slot)
    tally.not_before = event.until


def called_off(tally: Tally, event: happened.CalledOff) -> None:
    tally.leave_out(event.slot)
    if event.until > event.slot.starts:
        tally.barred = (*tally.barred, Span(event.slot.starts, event.until))
    fixed = tuple(f for f in tally.day.wishes.fixed if f.at != event.slot.starts)
    tally.day = replace(tally.day, wishes=replace(tally.day.wishes, fixed=fixed))


def added(tally: Tally, event: happened.Added) -> None:
    if event.slot not in tally.upcoming:
        insort(tally.upcoming, event.slot)
    insort(tally.wanted, event.slot)


def time_set(tally: Tally, event: happened.TimeSet) -> None:
    tally.refused = None
    if event.slot is not None:
        tally.leave_out(event.slot)
    tally.upcoming = [slot for slot in tally.upcoming if slot.starts != event.becomes.starts]
    tally.wanted = [slot for slot in tally.wanted if slot.starts != event.becomes.starts]
    insort(tally.upcoming, event.becomes)
    insort(tally.wanted, event.becomes)
    tally.not_before = event.becomes.starts


def time_refused(tally: Tally, event: happened.TimeRefused) -> None:
    tally.refused = event


def quiet_added(tally: Tally, event: happened.QuietAdded) -> None:
    if event.end > event.start:
        quiet = QuietInterval(event.why, Span(event.start, event.end))
        tally.day = replace(tally.day, quiet=(*tally.day.quiet, quiet))


def stopped(tally: Tally, event: happened.Stopped) -> None:
    tally.end_playing(event.at, interrupted=True)


def closed_early(tally: Tally, event: happened.ClosedEarly) -> None:
    if event.closes > tally.day.hours.start:
        tally.day = replace(tally.day, hours=Span(tally.day.hours.start, event.closes))


def piece_chosen(tally: Tally, event: happened.PieceChosen) -> None:
    if event.slot in tally.upcoming:
        tally.leave_out(event.slot)
        chosen = happened.Slot(event.slot.starts, event.piece)
        insort(tally.upcoming, chosen)
        insort(tally.wanted, chosen)


def undone(tally: Tally, event: happened.Undone) -> None:
    """What is to come is again as before the action; what happened since stays happened, and what
    the hall said meanwhile holds."""
    before = tally.undo
    if before is None:
        return
    begun = {played.slot for played in tally.played}
    tally.day = laid_upon(before.day, before.hall, tally.hall)
    tally.upcoming = [slot for slot in before.upcoming if slot not in begun]
    tally.wanted = [slot for slot in before.wanted if slot in tally.upcoming]
    tally.missed = list(before.missed)
    tally.not_before, tally.barred, tally.hold = before.not_before, before.barred, before.hold
    coming = {slot.starts for slot in tally.upcoming}
    for told, promise in tally.promises.items():
        if promise.outcome in (Outcome.CHANGED, Outcome.BROKEN) and told in coming:
            tally.settle(told, outcome=Outcome.OPEN, moved_to=None, why="")
    tally.nothing_to_undo()
