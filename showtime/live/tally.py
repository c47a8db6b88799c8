"""A DayState being added up: the same fields, open to change."""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from showtime.live.events import Slot
from showtime.live.state import CROWD, REMEMBERED, DayState


class Tally:
    """What the fold changes event by event, until it is frozen again."""

    def __init__(self, state: DayState) -> None:
        self.begun_from = state
        self.day = state.day
        self.stage = state.stage
        self.upcoming = list(state.upcoming)
        self.played = list(state.played)
        self.missed = list(state.missed)
        self.promises = {promise.told: promise for promise in state.promises}
        self.tomorrow = state.tomorrow
        self.not_before = state.not_before
        self.wanted = list(state.wanted)
        self.barred = state.barred
        self.hold = state.hold
        self.doubt = state.doubt
        self.asked = state.asked
        self.asks = deque(state.asks, maxlen=CROWD)
        self.said = deque(state.said, maxlen=REMEMBERED)
        self.last_answer = state.last_answer
        self.last_at = state.last_at
        self.undo = state.undo
        self.acted_at = state.acted_at
        self.action = state.action
        self.set_by = state.set_by
        self.refused = state.refused
        self.failing = state.failing
        self.measured = state.measured
        self.hall = state.hall

    def frozen(self) -> DayState:
        return replace(
            self.begun_from,
            day=self.day,
            stage=self.stage,
            upcoming=tuple(self.upcoming),
            played=tuple(self.played),
            missed=tuple(self.missed),
            promises=tuple(self.promises.values()),
            tomorrow=self.tomorrow,
            not_before=self.not_before,
            wanted=tuple(self.wanted),
            barred=self.barred,
            hold=self.hold,
            doubt=self.doubt,
            asked=self.asked,
            asks=tuple(self.asks),
            said=tuple(self.said),
            last_answer=self.last_answer,
            last_at=self.last_at,
            undo=self.undo,
            acted_at=self.acted_at,
            action=self.action,
            set_by=self.set_by,
            refused=self.refused,
            failing=self.failing,
            measured=self.measured,
            hall=self.hall,
        )

    def was_asked(self, at: datetime) -> None:
        self.asked += 1
        self.asks.append(at)

    def leave_out(self, slot: Slot) -> None:
        """The slot is no longer to come."""
        if slot in self.upcoming:
            self.upcoming.remove(slot)
        if slot in self.wanted:
            self.wanted.remove(slot)

    def nothing_to_undo(self) -> None:
        self.undo, self.action, self.set_by = None, "", timedelta(0)

    def settle(self, told: datetime, **changes: Any) -> None:
        """Change the promise of `told`, if there is one."""
        promise = self.promises.get(told)
        if promise is not None:
            self.promises[told] = replace(promise, **changes)

    def end_playing(self, at: datetime, *, interrupted: bool, overran: int = 0) -> None:
        """What plays, if anything, has ended."""
        if self.played and self.played[-1].ended is None:
            over = timedelta(seconds=overran)
            self.played[-1] = replace(
                self.played[-1], ended=at, interrupted=interrupted, overran=over
            )
