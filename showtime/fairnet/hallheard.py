"""All that an organiser has heard, folded into one picture of the hall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from showtime.fairnet import organiserpapers, stallpapers
from showtime.fairnet.pace import Pace
from showtime.fairnet.troubles import Troubles
from showtime.fairnet.view import Here, PlanVersion, StallView


class HallHeard:
    """The stalls of `names` (by their words) as they told of themselves, and the other desks.

    A stall counts as gone once its will says so, or when it was not heard for a lease.
    """

    def __init__(self, names: Mapping[str, str], pace: Pace) -> None:
        self.plan: PlanVersion | None = None
        self.caps: PlanVersion | None = None
        self.calls: dict[str, organiserpapers.Call] = {}
        self.troubles = Troubles(pace)
        self._pace = pace
        self._views = {word: StallView(name) for word, name in names.items()}
        self._status: dict[str, tuple[int, int]] = {}
        self._links: dict[str, tuple[int, int]] = {}
        self._gone: set[str] = set()
        self._steady: dict[str, float] = {}

    @property
    def trouble(self) -> str:
        return self.troubles.line

    @property
    def latest(self) -> int:
        """The highest number that any desk gave to anything."""
        numbers = [each.number for each in (self.plan, self.caps) if each is not None]
        return max([*numbers, *(call.number for call in self.calls.values())], default=0)

    def stalls(self, steady: float, now: datetime) -> tuple[StallView, ...]:
        """All stalls; that one keeps a quiet which is over by itself is not worth a word."""
        over = {
            name
            for name, call in self.calls.items()
            if not call.quiet.lifted and not call.quiet.left(now)
        }
        return tuple(
            replace(
                view,
                here=self._here(word, steady),
                heeds=tuple(call for call in view.heeds if call not in over),
            )
            for word, view in self._views.items()
        )

    def planned(self, version: PlanVersion) -> None:
        """Somebody published that plan."""
        if self.plan is None or self.plan < version:
            self.plan = version

    def caps_set(self, version: PlanVersion) -> None:
        if self.caps is None or self.caps < version:
            self.caps = version

    def called(self, call: organiserpapers.Call) -> None:
        """Somebody called for quiet, or took that back."""
        known = self.calls.get(call.quiet.call)
        if known is None or known.number < call.number:
            self.calls[call.quiet.call] = call

    def forget_presence(self) -> None:
        """The line was away: who is there will show."""
        self._gone.clear()

    def organiser_said(self, desk: str, about: tuple[str, ...], payload: bytes) -> None:
        if about == ("plan",):
            self.planned(organiserpapers.read_plan(desk, payload))
        elif about == ("quiet",):
            for call in organiserpapers.read_quiet(desk, payload):
                self.called(call)
        elif about == ("caps",):
            self.caps_set(organiserpapers.read_caps(desk, payload).version)

    def stall_said(
        self,
        word: str,
        about: tuple[str, ...],
        payload: bytes,
        now: datetime,
        steady: float,
        kept: bool,
    ) -> None:
        view = self._views.get(word)
        if view is None:
            self.troubles.odd(f"stranger {word}", f"{word} is no stall of this hall's day")
            return
        if about == ("here",):
            self._came_or_went(stallpapers.read_presence(word, payload), steady)
        elif about == ("claims",):
            _, at = stallpapers.read_claims(word, payload)
            if not kept:
                self._gone.discard(word)
                self._steady[word] = steady
                apart = (at - now).total_seconds()
                self._views[word] = replace(view, clock_apart=apart, last_heard=now)
        elif about == ("status",):
            status, version = stallpapers.read_status(word, payload)
            if version > self._status.get(word, (-1, -1)):
                self._status[word] = version
                self._views[word] = _shown(view, status)
                if kept:
                    self._views[word] = replace(self._views[word], last_heard=status.at)

    def _came_or_went(self, told: stallpapers.Presence, steady: float) -> None:
        link = (told.epoch, told.link)
        if link < self._links.get(told.stall, (-1, -1)):
            return
        self._links[told.stall] = link
        if told.here:  # to be believed for a lease, until it is heard
            self._gone.discard(told.stall)
            self._steady[told.stall] = steady
        else:
            self._gone.add(told.stall)

    def _here(self, word: str, steady: float) -> Here:
        if word not in self._links and word not in self._status:
            return Here.NEVER_SEEN
        heard = self._steady.get(word)
        if word in self._gone or heard is None or steady - heard > self._pace.lease:
            return Here.GONE
        return Here.PRESENT


def _shown(view: StallView, status: stallpapers.Status) -> StallView:
    return replace(
        view,
        stage=status.stage,
        playing=status.playing,
        next=status.next,
        promised=status.promised,
        follows=status.follows,
        caps=status.caps,
        trouble=status.trouble,
        heeds=status.heeds,
    )
