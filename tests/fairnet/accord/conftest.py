"""An adversary: a broker whose messages are late, doubled, lost and out of order.

The stalls around it have clocks that are seconds apart. All is in simulated time, and every choice
is a seeded random's. Nothing is lost twice running on its way to the same stall.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from showtime.fair import Span
from showtime.fairnet.accord import Accord
from showtime.fairnet.claims import Answer, Bond, Claims, Wanted, When
from showtime.fairnet.pace import Pace
from showtime.fairnet.taken import taken
from showtime.live.hall import Leave

OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
PACE = Pace()
KEPT_WITHIN = 60.0


@dataclass
class Sound:
    """What really sounded, by true time in seconds. `by_leave`: it was begun with the line up."""

    stall: str
    begins: float
    ends: float
    by_leave: bool
    span: Span


@dataclass
class SmallStall:
    """A stall that plays what it wants when it has leave, and else waits, or wants another time."""

    name: str
    bonds: tuple[Bond, ...]
    skew: float
    accord: Accord
    epoch: int = 1
    link: int = 0
    up: bool = False
    alive: bool = True
    wants: dict[Span, bool] = field(default_factory=dict)
    planned: set[Span] = field(default_factory=set)
    sounding: Sound | None = None
    beat_at: float = 0.0
    missed: list[Span] = field(default_factory=list)


class Adversary:
    """The hall at true time `now`; every choice is the rng's."""

    def __init__(self, bonds: list[Bond], rng: Random, worst: float = 2.5, skew: float = 8.0):
        self.rng, self.worst, self.now = rng, worst, 0.0
        names = sorted({name for bond in bonds for name in bond.stalls})
        self.bonds = bonds
        self.stalls = {
            name: SmallStall(
                name,
                tuple(b for b in bonds if name in b.stalls),
                rng.uniform(-skew, skew),
                Accord(name, 1, PACE),
            )
            for name in names
        }
        self.sounds: list[Sound] = []
        self.retained: dict[tuple, object] = {}
        self._mail: list[tuple[float, int, Callable[[], None]]] = []
        self._number = 0
        self._lost: dict[tuple, bool] = {}
        for name in names:
            self.join(name)

    def when(self, stall: SmallStall) -> When:
        return When(OPENS + timedelta(seconds=self.now + stall.skew), self.now)

    # What happens to stalls

    def join(self, name: str) -> None:
        stall = self.stalls[name]
        if stall.up or not stall.alive:
            return
        stall.up, stall.link = True, stall.link + 1
        stall.accord.connected(self.when(stall))
        stall.accord.rules(stall.bonds, self.when(stall))
        link = stall.link
        for topic, message in list(self.retained.items()):
            self._deliver(topic, message, stall, lossless=True)
        self._to_broker(("here", name), (name, stall.epoch, link, True), stall)
        self._flush(stall)

    def cut(self, name: str) -> None:
        stall = self.stalls[name]
        if not stall.up:
            return
        stall.up = False
        will = (name, stall.epoch, stall.link, False)
        self._at(self.rng.uniform(0, 8), lambda: self._publish(("here", name), will))

    def crash(self, name: str) -> None:
        stall = self.stalls[name]
        self.cut(name)
        stall.alive = False
        if stall.sounding is not None:
            stall.sounding.ends = self.now
            stall.sounding = None

    def restart(self, name: str) -> None:
        stall = self.stalls[name]
        if stall.alive:
            return
        stall.alive, stall.epoch, stall.link = True, stall.epoch + 1, 0
        stall.accord = Accord(name, stall.epoch, PACE)
        self._follow(stall)
        self.join(name)

    def want(self, name: str, ahead: float, lasts: float, *, planned=False, promised=False) -> Span:
        stall = self.stalls[name]
        start = self.when(stall).at + timedelta(seconds=ahead)
        span = Span(start, start + timedelta(seconds=lasts))
        stall.wants[span] = promised
        if planned:
            stall.planned.add(span)
        self._follow(stall)
        return span

    def promise(self, name: str) -> None:
        stall = self.stalls[name]
        for span in stall.wants:
            stall.wants[span] = True
        self._follow(stall)

    def forget(self, name: str) -> None:
        """It no longer wants the last of its times."""
        stall = self.stalls[name]
        if stall.wants:
            stall.wants.pop(max(stall.wants))
            self._follow(stall)

    def pass_time(self, seconds: float) -> None:
        ends = self.now + seconds
        while self.now < ends:
            due = min(self.now + 1.0, ends)
            while self._mail and self._mail[0][0] <= due:
                self.now, _, work = heapq.heappop(self._mail)
                work()
            self.now = due
            for stall in self.stalls.values():
                if stall.alive:
                    self._live(stall)

    # The network

    def _at(self, seconds: float, work: Callable[[], None]) -> None:
        self._number += 1
        heapq.heappush(self._mail, (self.now + seconds, self._number, work))

    def _late(self) -> float:
        return self.rng.random() ** 3 * self.worst

    def _to_broker(self, topic: tuple, message: object, stall: SmallStall) -> None:
        link = stall.link, stall.epoch

        def arrives() -> None:
            if stall.up and (stall.link, stall.epoch) == link:
                self._publish(topic, message)

        for _ in range(1 + (self.rng.random() < 0.15)):
            self._at(self._late(), arrives)

    def _publish(self, topic: tuple, message: object) -> None:
        self.retained[topic] = message
        for stall in self.stalls.values():
            self._deliver(topic, message, stall)

    def _deliver(
        self, topic: tuple, message: object, stall: SmallStall, lossless: bool = False
    ) -> None:
        if not stall.up or (isinstance(message, Answer) and message.to != stall.name):
            return
        way, link = (topic, stall.name), (stall.link, stall.epoch)
        lost = not lossless and not self._lost.get(way) and self.rng.random() < 0.1
        self._lost[way] = lost

        def arrives() -> None:
            if stall.up and (stall.link, stall.epoch) == link:
                self._hears(stall, message)

        if not lost:
            for _ in range(1 + (self.rng.random() < 0.15)):
                self._at(self._late(), arrives)

    def _hears(self, stall: SmallStall, message: object) -> None:
        when = self.when(stall)
        if isinstance(message, Claims):
            stall.accord.hear_claims(message, when)
        elif isinstance(message, Answer):
            stall.accord.hear_answer(message, when)
        else:
            stall.accord.hear_presence(*message, when)
        self._flush(stall)

    def _flush(self, stall: SmallStall) -> None:
        if not stall.up:
            return
        for message in stall.accord.take(self.when(stall)):
            if isinstance(message, Claims):
                self._to_broker(("claims", stall.name), message, stall)
            else:
                self._to_broker(("leave", stall.name, message.to), message, stall)

    # A stall's day

    def _follow(self, stall: SmallStall) -> None:
        wanted = [Wanted(s, promised, s in stall.planned) for s, promised in stall.wants.items()]
        playing = stall.sounding.span if stall.sounding else None
        if stall.alive:
            stall.accord.follow(wanted, playing, self.when(stall))
            self._flush(stall)

    def _live(self, stall: SmallStall) -> None:
        when = self.when(stall)
        if stall.sounding is not None and self.now >= stall.sounding.ends:
            stall.sounding = None
            self._follow(stall)
        if self.now >= stall.beat_at:
            stall.beat_at = self.now + PACE.beat
            stall.accord.beat()
        for span in sorted(stall.wants):
            late = (when.at - span.start).total_seconds()
            if late > KEPT_WITHIN:
                stall.missed.append(span)
                del stall.wants[span]
                self._follow(stall)
            elif late >= 0 and stall.sounding is None:
                self._start(stall, span, when)
        stall.accord.tick(when)
        self._flush(stall)

    def _start(self, stall: SmallStall, span: Span, when: When) -> None:
        really = Span(when.at, when.at + span.length)
        by_leave = stall.accord.trusting(when)
        leave = stall.accord.leave(really, when)
        if leave is Leave.GIVEN:
            del stall.wants[span]
            ends = self.now + span.length.total_seconds()
            stall.sounding = Sound(stall.name, self.now, ends, by_leave, really)
            self.sounds.append(stall.sounding)
            self._follow(stall)
        elif leave is Leave.REFUSED:
            barred = taken(stall.accord.bonds, stall.accord.given(when), {})
            later = when.at + timedelta(seconds=5)
            for quiet in barred:
                if quiet.span.meets(Span(later, later + span.length)):
                    later = max(later, quiet.span.end)
            promised = stall.wants.pop(span)
            if promised or later - when.at < timedelta(seconds=300):
                stall.wants[Span(later, later + span.length)] = promised
            self._follow(stall)

    # What must hold

    def too_many(self) -> list[tuple[Bond, list[Sound]]]:
        """Bonds of which more really sounded at once than may, all of them begun by leave."""
        found = []
        for bond in self.bonds:
            bound = [s for s in self.sounds if s.stall in bond.stalls and s.by_leave]
            for sound in bound:
                at_once = [s for s in bound if s.begins <= sound.begins < s.ends]
                if len({s.stall for s in at_once}) > bond.most:
                    found.append((bond, at_once))
        return found


@pytest.fixture
def adversary() -> Callable[..., Adversary]:
    return Adversary
