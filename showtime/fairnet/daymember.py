"""A stall on the line on one day: what it does is told to the others, and what they say to it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import datetime

from showtime.fair import Day, Span
from showtime.fair.hall import Joining
from showtime.fairnet import stallpapers as papers
from showtime.fairnet.accord import Accord
from showtime.fairnet.claims import Answer, Claims, Wanted, When
from showtime.fairnet.line import Line
from showtime.fairnet.organisersaid import OrganiserSaid
from showtime.fairnet.pace import Pace
from showtime.fairnet.statustold import status_of
from showtime.fairnet.strict import NonsenseError
from showtime.fairnet.taken import taken
from showtime.fairnet.troubles import Troubles
from showtime.fairnet.words import Topics, name_of, safe_word
from showtime.live.clock import Clock
from showtime.live.hall import HallWord, Leave, QuietCalled, QuietLifted, TimesTaken
from showtime.live.state import DayState, Stage

_STATUS_EVERY = 3
"""Beats after which a stall tells its organiser how it is, changed or not."""

SILENT = "the fair's broker has fallen silent; this stall goes on with its last plan"

_MOST_STALLS = 2000
"""More stalls than these are no fair's: somebody plays tricks."""

_LAST_EPOCH = 2**52
"""No epoch is later than the year 140,000."""


class DayMember:
    """The line of one stall on one day: a `Hall` to its running day. It speaks for no other."""

    def __init__(self, day: Day, joining: Joining, clock: Clock, pace: Pace = Pace()) -> None:
        self.name = day.signboard.stall
        self.word = safe_word(self.name)
        self.day = day
        self._clock, self._pace = clock, pace
        self._topics = Topics(day.signboard.fair, day.date)
        self._lock = threading.RLock()
        self._accord = Accord(self.word, int(clock.now().timestamp() * 1000), pace)
        self._own_epochs = {self._accord.epoch}
        self._troubles = Troubles(pace)
        self._said = OrganiserSaid(self.word, day)
        self._state: DayState | None = None
        self._status: papers.Status | None = None
        self._status_serial = 0
        self._beats = 0
        self._beat_at = float("-inf")
        self._taken, self._taken_at = TimesTaken(()), 0
        self._listeners: list[Callable[[HallWord], None]] = []
        self._words: list[HallWord] = []
        root = self._topics
        filters = [
            (root.organiser("+", "handout", self.word), 1),
            (root.organiser("+", "quiet"), 1),
            (root.organiser("+", "caps"), 1),
            (root.stall("+", "here"), 0),
            (root.stall("+", "claims"), 0),
            (root.stall("+", "leave", self.word), 0),
        ]
        self._line = Line(joining, filters, self, pace, self.name)
        self._line.start()

    # What the running day asks

    def listen(self, told: Callable[[HallWord], None]) -> None:
        with self._lock:
            holds = [*self._said.holds(self._clock.now()), self._taken]
            self._listeners.append(told)
        for word in holds:
            told(word)

    def follow(self, state: DayState, now: datetime) -> None:
        with self._lock:
            if state is not self._state:
                self._state = state
                self._beats = 0
            self._accord.follow(self._wanted(state), _playing(state), self._when(now))
        self._line.wake()

    def leave(self, span: Span, now: datetime) -> Leave:
        with self._lock:
            leave = self._accord.leave(span, self._when(now))
            self._tell()
        return leave

    @property
    def trouble(self) -> str:
        return self._line.trouble or self._silence or self._troubles.line

    @property
    def _silence(self) -> str:
        """Told when the line seems to be there and nothing that is said comes back by it."""
        long = self._clock.monotonic() - self._linked_at > self._pace.own_lease
        return SILENT if long and not self.is_up else ""

    @property
    def is_up(self) -> bool:
        """True while what is claimed comes back by the line: leave is given and taken."""
        with self._lock:
            return self._line.up and self._accord.trusting(self._when(self._clock.now()))

    @property
    def follows(self) -> str:
        """Which plan of the organiser's this stall goes by; empty: none."""
        return str(self._said.version or "")

    def close(self) -> None:
        """Leave the line on purpose: nothing is claimed any more."""
        with self._lock:
            accord, at = self._accord, self._clock.now()
            accord.follow((), None, self._when(at))
            accord.beat()
            claims = [told for told in accord.take(self._when(at)) if isinstance(told, Claims)]
            link = self._line_number
        last_words = [
            (self._topics.stall(self.word, "claims"), papers.written_claims(told, at))
            for told in claims
        ]
        gone = papers.Presence(self.word, self.name, accord.epoch, link, here=False)
        here = self._topics.stall(self.word, "here")
        self._line.close([*last_words, (here, papers.written_presence(gone))])

    # What the line tells

    _line_number, _linked_at = 0, 0.0

    def will(self, link: int) -> tuple[str, bytes]:
        gone = papers.Presence(self.word, self.name, self._accord.epoch, link, here=False)
        return self._topics.stall(self.word, "here"), papers.written_presence(gone)

    def connected(self, link: int) -> None:
        with self._lock:
            self._line_number, self._linked_at = link, self._clock.monotonic()
            self._say_here()
            self._accord.connected(self._when(self._clock.now()))
            self._beats = 0
            self._tell()

    def heard(self, topic: str, payload: bytes, kept: bool) -> None:
        spoken = self._topics.told_by(topic)
        if spoken is None:
            return
        side, who, about = spoken
        with self._lock:
            try:
                if side == "organiser":
                    self._said.heard(name_of(who), about, payload)
                else:
                    self._stall_said(who, about, payload, kept)
                self._troubles.sense(topic)
            except NonsenseError as nonsense:
                self._troubles.nonsense(topic, f"{who} said nonsense about {about[0]}: {nonsense}")
            self._rules_changed()
            self._tell()
        self._speak()

    def ticked(self) -> None:
        with self._lock:
            when = self._when(self._clock.now())
            beats = when.steady - self._beat_at >= self._pace.beat
            if beats:
                self._beat_at = when.steady
                self._accord.beat()
                if self._beats % _STATUS_EVERY == 0:
                    self._tell_status(when.at)
                self._beats += 1
            elif self._beats == 0:
                self._tell_status(when.at)
                self._beats = 1
            self._accord.tick(when)
            if beats or self._accord.news != self._taken_at:
                self._see_taken(when)
            self._tell()
        self._speak()

    def _stall_said(self, who: str, about: tuple[str, ...], payload: bytes, kept: bool) -> None:
        when = self._when(self._clock.now())
        if who not in self._accord.peers and len(self._accord.peers) >= _MOST_STALLS:
            return
        if about == ("claims",):
            claims, at = papers.read_claims(who, payload)
            if who == self.word and claims.epoch != self._accord.epoch:
                self._somebody_was_me(claims, kept)
            if not kept:
                self._troubles.clock(self._said.names.get(who, who), at, when.at)
            self._accord.hear_claims(claims, when)
        elif about == ("here",):
            told = papers.read_presence(who, payload)
            if who == self.word and not told.here and told.link < self._line_number:
                self._say_here()
            self._accord.hear_presence(who, told.epoch, told.link, told.here, when)
        elif about == ("leave", self.word):
            answer = papers.read_answer(who, self.word, payload)
            if self._accord.epoch < answer.of_epoch < _LAST_EPOCH:
                self._go_on_after(answer.of_epoch)
            self._accord.hear_answer(answer, when)

    def _somebody_was_me(self, claims: Claims, kept: bool) -> None:
        """An earlier run of this program told claims; if its epoch was higher, ours goes on."""
        if claims.epoch in self._own_epochs:
            return
        if not kept:
            self._troubles.odd("twin", f"another program is on the fair's line as {self.name}")
        elif self._accord.epoch < claims.epoch < _LAST_EPOCH:
            self._go_on_after(claims.epoch)

    def _go_on_after(self, epoch: int) -> None:
        """Others know this stall by a later epoch, as its clock was ahead, and would not listen."""
        self._accord.follows_epoch(epoch)
        self._own_epochs.add(self._accord.epoch)
        self._say_here()

    def _say_here(self) -> None:
        here = papers.Presence(
            self.word, self.name, self._accord.epoch, self._line_number, here=True
        )
        self._line.say(self._topics.stall(self.word, "here"), papers.written_presence(here))

    def _rules_changed(self) -> None:
        if self._said.bonds is not None:
            self._accord.rules(self._said.bonds, self._when(self._clock.now()))

    # What is told

    def _tell(self) -> None:
        """Say what the accord has to say, and keep the words that the day has to hear."""
        when = self._when(self._clock.now())
        for told in self._accord.take(when):
            if isinstance(told, Answer):
                topic = self._topics.stall(self.word, "leave", told.to)
                self._line.say(topic, papers.written_answer(told))
            else:
                topic = self._topics.stall(self.word, "claims")
                self._line.say(topic, papers.written_claims(told, when.at))

    def _see_taken(self, when: When) -> None:
        self._taken_at = self._accord.news
        quiet = taken(self._accord.bonds, self._accord.given(when), self._said.names)
        if quiet != self._taken.quiet:
            self._taken = TimesTaken(quiet)
            self._words.append(self._taken)

    def _speak(self) -> None:
        """Tell the day what is new, with no lock held: it may ask back."""
        with self._lock:
            words = [*self._said.news(), *self._words]
            self._words.clear()
            listeners = tuple(self._listeners)
        for word in words:
            for told in listeners:
                told(word)
        if any(isinstance(word, QuietCalled | QuietLifted) for word in words):
            # The organiser waits to hear that every stall has it.
            self._beats = 0
            self._line.wake()

    def _tell_status(self, at: datetime) -> None:
        self._status_serial += 1
        heeds = self._said.heeded(at) if self._listeners else ()
        status = status_of(
            self.word, self.day, self._state, at, self._said.version, self._troubles.line, heeds
        )
        told = papers.written_status(status, self._accord.epoch, self._status_serial)
        self._line.say(self._topics.stall(self.word, "status"), told)

    def _wanted(self, state: DayState) -> tuple[Wanted, ...]:
        if state.stage is Stage.ENDED:
            return ()
        promised, planned = set(state.promised()), self._said.planned
        lasts = {piece.name: piece.lasts for piece in state.day.pieces}
        return tuple(
            Wanted(
                Span(slot.starts, slot.starts + lasts[slot.piece]),
                slot.starts in promised,
                (slot.starts, slot.piece) in planned,
            )
            for slot in state.upcoming
            if slot.piece in lasts
        )

    def _when(self, now: datetime) -> When:
        return When(now, self._clock.monotonic())


def _playing(state: DayState) -> Span | None:
    slot = state.playing
    if slot is None:
        return None
    began = state.played[-1].started
    return Span(began, began + state.day.piece(slot.piece).lasts)
