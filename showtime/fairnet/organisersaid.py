"""What a stall has heard of its organisers: the last plan, the calls for quiet, the caps."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from showtime.fair import Day
from showtime.fair.hall import Handout
from showtime.fairnet import organiserpapers as papers
from showtime.fairnet.claims import Bond
from showtime.fairnet.strict import NonsenseError
from showtime.fairnet.view import PlanVersion
from showtime.live.hall import CapsSet, HallWord, PlanHanded, QuietCalled, QuietLifted
from showtime.live.handout import HandoutError, handout_from


class OrganiserSaid:
    """Each thing counts that was said last: the highest number, whatever the order it came in."""

    def __init__(self, word: str, day: Day) -> None:
        self.version: PlanVersion | None = None
        self.bonds: tuple[Bond, ...] | None = None
        self.names: Mapping[str, str] = {}
        self.planned: frozenset[tuple[datetime, str]] = frozenset()
        self._word, self._day = word, day
        self._handout: Handout | None = None
        self._calls: dict[str, papers.Call] = {}
        self._caps: papers.CapsOf | None = None
        self._news: list[HallWord] = []

    def heard(self, desk: str, about: tuple[str, ...], payload: bytes) -> None:
        """NonsenseError: that was none of what an organiser says."""
        if about == ("handout", self._word):
            self._handed(papers.read_handed(desk, payload))
        elif about == ("quiet",):
            for call in papers.read_quiet(desk, payload):
                self._called(call)
        elif about == ("caps",):
            caps = papers.read_caps(desk, payload)
            if self._caps is None or self._caps.version < caps.version:
                self._caps = caps
                self._news.append(CapsSet(caps.of(self._word)))

    def holds(self, now: datetime) -> list[HallWord]:
        """What holds at present, for somebody who listens from now on."""
        held: list[HallWord] = []
        if self._handout is not None:
            held.append(PlanHanded(self._handout))
        for call in self._calls.values():
            if call.quiet.lifted and call.quiet.span.end > now:
                # Whoever starts again may know of the call, and not that it was lifted.
                held.append(QuietLifted(call.quiet.call))
            elif call.quiet.left(now):
                held.append(QuietCalled(call.quiet.call, call.quiet.span, call.quiet.why))
        if self._caps is not None:
            held.append(CapsSet(self._caps.of(self._word)))
        return held

    def heeded(self, now: datetime) -> tuple[str, ...]:
        """The calls for quiet that hold or come."""
        return tuple(name for name, call in self._calls.items() if call.quiet.left(now))

    def news(self) -> list[HallWord]:
        """What is new since the last time, in order."""
        news, self._news = self._news, []
        return news

    def _handed(self, told: papers.Handed) -> None:
        if self.version is not None and not self.version < told.version:
            return
        try:
            handout = handout_from(dict(told.handout), (self._day,), "the plan that was handed")
        except HandoutError as error:
            raise NonsenseError(str(error).replace("\n", "; ")[:200]) from None
        self.version, self.bonds, self.names = told.version, told.bonds, told.names
        self.planned = frozenset((p.starts, p.piece.name) for p in handout.performances)
        self._handout = handout
        self._news.append(PlanHanded(handout))

    def _called(self, call: papers.Call) -> None:
        known = self._calls.get(call.quiet.call)
        if known is not None and known.number >= call.number:
            return
        self._calls[call.quiet.call] = call
        if not call.quiet.lifted:
            self._news.append(QuietCalled(call.quiet.call, call.quiet.span, call.quiet.why))
        else:
            # Also when it was not heard of by this run: the day may know it from the one before.
            self._news.append(QuietLifted(call.quiet.call))
