"""The organiser's side of the line: what is told to every stall, and what all of them tell."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from showtime.fair import Span
from showtime.fair.budgets import Budget
from showtime.fair.hall import HallDay, HallPlan, Joining
from showtime.fairnet import organiserpapers as papers
from showtime.fairnet.claims import Bond
from showtime.fairnet.errors import FairnetError
from showtime.fairnet.hallheard import HallHeard
from showtime.fairnet.line import Line
from showtime.fairnet.pace import Pace
from showtime.fairnet.strict import NonsenseError
from showtime.fairnet.view import HallView, PlanVersion, QuietNow
from showtime.fairnet.words import Topics, name_of, safe_word
from showtime.live.clock import Clock
from showtime.live.handout import handout_document
from showtime.planning.hall import handouts, sounding_groups

_LONGEST = timedelta(hours=12)
_REMEMBERED = timedelta(hours=1)
"""A call that is over is told for so long, so that a stall that was away hears of its end."""


class Organiser:
    """One desk that organises the hall on one day. There may be several; the last word counts.

    Everything here may be called from any thread and returns at once. What was said while the
    broker is away is said as soon as it is back. `desk` tells organisers apart.
    """

    def __init__(
        self, hall: HallDay, joining: Joining, clock: Clock, desk: str, pace: Pace = Pace()
    ) -> None:
        self.desk = desk
        self._hall, self._clock, self._pace = hall, clock, pace
        self._topics = Topics(hall.fair, hall.date)
        self._words = {name: safe_word(name) for name in hall.names}
        self._lock = threading.RLock()
        self._heard = HallHeard({word: name for name, word in self._words.items()}, pace)
        self._watching: dict[int, Callable[[], None]] = {}
        self._watchers = 0
        self._number = int(clock.now().timestamp() * 1000)
        self._calls: dict[str, papers.Call] = {}
        filters = [
            (self._topics.organiser("+", "plan"), 1),
            (self._topics.organiser("+", "quiet"), 1),
            (self._topics.organiser("+", "caps"), 1),
            (self._topics.stall("+", "here"), 0),
            (self._topics.stall("+", "claims"), 0),
            (self._topics.stall("+", "status"), 0),
        ]
        self._line = Line(joining, filters, self, pace, f"organiser {desk}")
        self._line_trouble = self._line.trouble
        self._line.start()

    def view(self) -> HallView:
        """The hall as it is known now."""
        with self._lock:
            now = self._clock.now()
            quiet = tuple(call.quiet for call in self._heard.calls.values() if call.quiet.left(now))
            return HallView(
                now,
                self._heard.stalls(self._clock.monotonic(), now),
                self._heard.plan,
                tuple(sorted(quiet, key=lambda each: each.span)),
                self._line.trouble or self._heard.trouble,
            )

    def watch(self, changed: Callable[[], None]) -> Callable[[], None]:
        """Call this, on any thread, whenever the view has changed; what ends that."""
        with self._lock:
            self._watchers += 1
            number = self._watchers
            self._watching[number] = changed

        def end() -> None:
            with self._lock:
                self._watching.pop(number, None)

        return end

    def quiet(self, minutes: float, why: str) -> str:
        """Quiet in the hall from now on for so long; the id of the call.

        FairnetError: that is no length of time, or the reason is no line of words.
        """
        try:
            length = timedelta(minutes=minutes)
        except (ValueError, OverflowError):
            length = timedelta(0)
        if not timedelta(0) < length <= _LONGEST:
            raise FairnetError("quiet lasts more than nothing, and 12 hours at most")
        if not why.isprintable() or len(why) > 200:
            raise FairnetError("a reason is one line of at most 200 characters")
        with self._lock:
            now = self._clock.now()
            number = self._next_number(now)
            call = f"{safe_word(self.desk)[:40]}.{number}"
            span = Span(now, now + length)
            self._say_call(papers.Call(QuietNow(call, why, span, self.desk), number), now)
        self._changed()
        return call

    def lift(self, call: str) -> None:
        """That quiet is over, whoever called it. KeyError: there is none of that id."""
        with self._lock:
            now = self._clock.now()
            known = self._heard.calls[call]
            lifted = replace(known.quiet, lifted=True)
            number = max(self._next_number(now), known.number + 1)
            self._say_call(papers.Call(lifted, number), now)
        self._changed()

    def publish(self, plan: HallPlan) -> PlanVersion:
        """Hand every stall its part of this plan, in place of any before."""
        with self._lock:
            version = PlanVersion(self._next_number(self._clock.now()), self.desk)
            bonds = bonds_of(plan.hall)
            names = {safe_word(name): name for name in plan.hall.names}
            for handout in handouts(plan):
                word, day = safe_word(handout.stall), plan.hall.number(handout.stall)
                mine = tuple(bond for bond in bonds if word in bond.stalls)
                near = {word} | {each for bond in mine for each in bond.stalls}
                told = papers.Handed(
                    version,
                    mine,
                    {each: names[each] for each in sorted(near)},
                    handout_document(handout, plan.hall.days[day]),
                )
                topic = self._topics.organiser(safe_word(self.desk), "handout", word)
                self._line.say(topic, papers.written_handed(told))
            self._heard.planned(version)
            topic = self._topics.organiser(safe_word(self.desk), "plan")
            self._line.say(topic, papers.written_plan(version.number))
        self._changed()
        return version

    def caps(self, caps: Sequence[Budget], stalls: Sequence[str] = ()) -> None:
        """Set these caps on the day for the named stalls (none: for all), in place of those before.

        FairnetError: only caps on performances and on sounding can be set on the day.
        """
        words = tuple(self._words[name] for name in stalls)
        with self._lock:
            version = PlanVersion(self._next_number(self._clock.now()), self.desk)
            told = papers.CapsOf(version, tuple((cap, words) for cap in caps))
            payload = papers.written_caps(told)
            self._heard.caps_set(version)
            self._line.say(self._topics.organiser(safe_word(self.desk), "caps"), payload)

    def close(self) -> None:
        """Leave the line. What was told stays told."""
        self._line.close()

    # What the line tells

    def will(self, link: int) -> None:
        """Nobody misses an organiser."""
        return

    def connected(self, link: int) -> None:
        with self._lock:
            self._heard.forget_presence()
        self._changed()

    def heard(self, topic: str, payload: bytes, kept: bool) -> None:
        spoken = self._topics.told_by(topic)
        if spoken is None:
            return
        side, who, about = spoken
        with self._lock:
            now, steady = self._clock.now(), self._clock.monotonic()
            try:
                if side == "organiser":
                    self._heard.organiser_said(name_of(who), about, payload)
                    self._number = max(self._number, self._heard.latest)
                else:
                    self._heard.stall_said(who, about, payload, now, steady, kept)
                self._heard.troubles.sense(topic)
            except NonsenseError as nonsense:
                line = f"{who} said nonsense about {about[0]}: {nonsense}"
                self._heard.troubles.nonsense(topic, line)
        self._changed()

    def ticked(self) -> None:
        if self._line.trouble != self._line_trouble:
            self._line_trouble = self._line.trouble
            self._changed()

    def _next_number(self, now: datetime) -> int:
        """Higher than any that was heard of, and never lower than the milliseconds since 1970."""
        self._number = max(self._number + 1, int(now.timestamp() * 1000))
        return self._number

    def _say_call(self, call: papers.Call, now: datetime) -> None:
        self._calls[call.quiet.call] = call
        for name, known in list(self._calls.items()):
            if known.quiet.span.end + _REMEMBERED < now:
                del self._calls[name]
        self._heard.called(call)
        payload = papers.written_quiet(self._calls)
        self._line.say(self._topics.organiser(safe_word(self.desk), "quiet"), payload)

    def _changed(self) -> None:
        with self._lock:
            watching = tuple(self._watching.values())
        for changed in watching:
            changed()


def bonds_of(hall: HallDay) -> tuple[Bond, ...]:
    """Which stalls, by their words, may not all sound at once."""
    words = [safe_word(name) for name in hall.names]
    return tuple(
        Bond(group.most, frozenset(words[number] for number in group.stalls), group.together.why)
        for group in sounding_groups(hall)
    )
