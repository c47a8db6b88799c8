"""The last action is taken back, within a minute. Pure."""

from __future__ import annotations

from datetime import datetime, timedelta

from showtime.live import events as happened
from showtime.live.fold import fold
from showtime.live.keeper.actions import Decision, Refusal, kept_first
from showtime.live.keeper.changes import clock_of, difference, handed, rearranged
from showtime.live.keeper.mend import mended, performances, performed
from showtime.live.keeper.starting import startable
from showtime.live.state import DayState

UNDO_WITHIN = timedelta(minutes=1)
"""An action can be taken back for so long."""


def undo(state: DayState, now: datetime) -> Decision | Refusal:
    """The last action is taken back, if it is not longer ago than a minute.

    When that was a setting of the clock, what happens is told by the clock as it was before.
    """
    if state.undo is None or state.acted_at is None or now - state.acted_at > UNDO_WITHIN:
        return Refusal("There is nothing from the last minute to take back.")
    if len(state.played) > len(state.undo.played):
        return Refusal("A performance has started since; hold stops it.")
    before = now - state.set_by
    begun: list[happened.Event] = [happened.Undone(at=before)]
    after = fold(state, begun)
    rest = performances(
        after.day,
        (
            slot
            for slot in after.upcoming
            if slot.starts >= before or (state.set_by and startable(after, slot, before))
        ),
    )
    if after.hall != state.undo.hall:
        # The hall has said something since: not all that was to come may come again.
        first = kept_first(after, rest)
        then = (
            handed(after, before, first) if after.hall.planned != state.undo.hall.planned else rest
        )
        rest = mended(after.to_plan, performed(after), first, then)
    events = [*begun, *rearranged(after, before, rest, "")]
    clock = f" It is {clock_of(state, before)}." if state.set_by else ""
    said = f"{state.action} is taken back.{clock} {difference(state, events)}"
    return Decision(tuple(events), said)
