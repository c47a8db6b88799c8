"""The running day: whatever happens becomes an event on disk first, and then in the world.

Keys, alarms and planners come in on threads of their own; one lock makes them take turns. What is
done under it is short: nothing between a press and the sound waits for a plan or a rendering
that could have been done before.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from showtime.fair import Performance
from showtime.live import events as happened
from showtime.live.agenda import Agenda
from showtime.live.answer import Manner, answer, call, is_owed, manner, may_call
from showtime.live.clock.steady import Noticed
from showtime.live.clock.trust import Trust
from showtime.live.fold import fold
from showtime.live.foreseen import foreseen
from showtime.live.keeper.actions import Decision, Refusal, given_back, put_right, startable
from showtime.live.keeper.changes import rearranged, taken_back
from showtime.live.keeper.mend import breaks, performances, performed, slots
from showtime.live.keeper.orders import outcome
from showtime.live.keeper.settime import passed, trust_event
from showtime.live.ready import ReadyWords
from showtime.live.state import CALL, OF_ITSELF, DayState, Stage
from showtime.live.timetable import Deed, Due
from showtime.live.world import World
from showtime.wording import Kind, Situation

_CALLED_ENOUGH = timedelta(minutes=1)
"""Nobody needs calling who asked within this."""

_ON_TIME = timedelta(seconds=1)
"""A start that comes later than this is judged by the rules again."""

_BREATH = timedelta(milliseconds=300)
"""After an answer has begun, until the next one's words are chosen and rendered."""


class RunningDay:
    """One day as it goes. `state` may be read at any time: it is a value, replaced as a whole."""

    def __init__(self, begun_from: DayState, world: World) -> None:
        self.state = begun_from
        self._world = world
        self._lock = threading.RLock()
        self._agenda = Agenda(world.alarms, self._do, self._finish_due)
        self._words = ReadyWords(world.banks, world.random, world.speech)

    @property
    def trouble(self) -> str:
        """Why nothing is recorded; empty when all is well."""
        return self._world.journal.trouble

    def begin(
        self,
        plan: Iterable[Performance],
        tomorrow: datetime | None,
        promised: tuple[datetime, ...] = (),
    ) -> None:
        """Begin a new day with its plan, and with what was promised for it on the day before."""
        day = self.state.day
        self._record(
            happened.DayBegan(
                at=self._world.clock.now(),
                stall=day.signboard.stall,
                date=day.date,
                slots=slots(plan),
                tomorrow=tomorrow,
                promised=promised,
            )
        )
        self._miss_what_is_past()

    def resume(self, history: Iterable[happened.Event]) -> None:
        """Go on with a day that was begun before; it is held until the keeper releases it."""
        self.state = fold(self.state, history)
        now = self._world.clock.now()
        self._record(happened.DayResumed(at=now, interrupted=self.state.playing))
        self._set_alarms()

    def trusts(self, trust: Trust) -> None:
        """From now on the clock is believed, on somebody's word, or it is not."""
        with self._lock:
            self._record(trust_event(trust, self._world.clock.now()))

    def clock_set(self, noticed: Noticed, words: str) -> None:
        """The keeper has set the clock, in these words; that can be undone."""
        with self._lock:
            now = self._world.clock.now()
            self._agenda.clock_set(noticed.moved)
            self._record(
                happened.ActionTaken(at=now, words=words, was=noticed.was),
                trust_event(noticed.trust, now),
                *passed(self.state, now),
                *given_back(self.state, now),
            )

    def noticed(self, noticed: Noticed) -> None:
        """Something befell the clocks: what was slept through is missed, not done in a burst."""
        with self._lock:
            self._agenda.clock_set(noticed.moved)
            if noticed.changed:
                self.trusts(noticed.trust)
            self._miss_what_is_past()
            self._look_ahead()

    def end(self) -> None:
        """End the day on purpose; what plays is stopped."""
        with self._lock:
            if self.state.playing is not None:
                self._world.figure.stop()
            if self.state.stage is not Stage.ENDED:
                self._record(happened.DayEnded(at=self._world.clock.now()), look_ahead=False)
            self._agenda.close()
            self._world.journal.close()

    def asked(self, trigger: str) -> happened.Answered:
        """Somebody asked when the next one is: give the answer, and return it.

        While an answer that is still true is in the air, it serves whoever asks again.
        """
        with self._lock:
            situation = answer(self.state, self._world.clock.now())
            last = self.state.last_answer
            if last and self._world.speech.speaking and self._still_true(last, situation):
                self._record(happened.Asked(at=situation.now, trigger=trigger))
                return last
            return self._answer(trigger, situation, manner(self.state, situation.now))

    def tell(self, words: Sequence[str]) -> str:
        """Do what the keeper says, and tell what it changed. QuestionError: it means nothing."""
        if words and words[0].lower() == "hold":
            self._world.figure.stop()  # before all else
        while True:
            state, now = self.state, self._world.clock.now()
            decided = outcome(state, now, words)
            with self._lock:
                if self.state is state or isinstance(decided, Refusal):
                    return self._decided(decided)

    def would(self, words: Sequence[str]) -> str:
        """What `tell` would answer now; nothing happens."""
        return outcome(self.state, self._world.clock.now(), words).said

    def _decided(self, decided: Decision | Refusal) -> str:
        if isinstance(decided, Decision):
            if any(isinstance(event, happened.Stopped) for event in decided.events):
                self._world.figure.stop()
            self._record(*decided.events, *self._clock_taken_back(decided))
            coming = self.state.next
            if coming is not None and coming.starts <= self._world.clock.now():
                self._start_due(coming)
            self._own_up()
            self._replan_beside()
        return decided.said

    def _clock_taken_back(self, decided: Decision) -> tuple[happened.Event, ...]:
        """Before anything is undone by it, the clock goes as it did before it was set."""
        undone = [event for event in decided.events if isinstance(event, happened.Undone)]
        if not undone or not self.state.set_by:
            return ()
        self._world.clock.take_back()
        self._agenda.clock_set(-self.state.set_by)
        self._agenda.realign()
        return (trust_event(self._world.clock.trust, self._world.clock.now()),)

    def _own_up(self) -> None:
        """Say of its own accord, once and as soon as it may, that a told time has changed."""
        now = self._world.clock.now()
        situation = answer(self.state, now)
        owed = any(is_owed(promise, now) for promise in self.state.promises)
        sorry = situation.kind in (Kind.CHANGED, Kind.CALLED_OFF)
        if owed and sorry and may_call(self.state, now):
            self._answer(OF_ITSELF, situation, Manner.ALOUD)

    def _answer(self, trigger: str, situation: Situation, how: Manner) -> happened.Answered:
        first, *others = self._words.words(situation, self.state.said)
        said = happened.Answered(
            at=situation.now,
            trigger=trigger,
            kind=situation.kind,
            text=first.text,
            language=first.language,
            template=first.template,
            told=situation.at,
            spoken=how.value,
            also=tuple(happened.Said(each.text, each.language) for each in others),
        )
        self._record(said, look_ahead=False)
        if how is not Manner.SILENT:
            words = [(each.text, each.language) for each in said.every]
            self._world.speech.say(words, softly=how is Manner.SOFTLY)
        # Not at once: rendering the next words would hold up the first sound of these.
        self._agenda.after_a_breath(situation.now + _BREATH, self._look_further)
        return said

    def _still_true(self, last: happened.Answered, situation: Situation) -> bool:
        return (last.kind, last.told) == (situation.kind, situation.at)

    def _look_ahead(self) -> None:
        """Have the next answer's words ready before anybody asks, and soon those of others."""
        now = self._world.clock.now()
        self._words.prepare(answer(self.state, now), self.state.said)
        self._agenda.after_a_breath(now + _BREATH, self._look_further)

    def _look_further(self) -> None:
        """Have words ready for all that may come in the next half hour, one thing at a time:
        whoever asks meanwhile waits for the choice of one sentence at most."""
        state, now = self.state, self._world.clock.now()
        coming = foreseen(state, now)
        with self._lock:
            self._words.keep_only(coming)
        for situation in coming:
            with self._lock:
                if self.state is not state:
                    return  # Something happened, and with it this was set again.
                self._words.prepare(situation, state.said)

    def _record(self, *events: happened.Event, look_ahead: bool = True) -> None:
        """Events to disk, then into the state, then into the alarms."""
        with self._lock:
            self._world.journal.append(*events)
            before, self.state = self.state, fold(self.state, events)
            if self.state.upcoming != before.upcoming:
                self._set_alarms()
            if look_ahead:
                self._look_ahead()
        self._world.changed()

    def _set_alarms(self) -> None:
        self._agenda.follow(self.state, self._world.clock.now())

    def _do(self, due: Due) -> None:
        """An alarm went off."""
        with self._lock:
            if due.slot is not None and due.deed is Deed.START:
                self._start_due(due.slot)
            elif due.slot is not None and due.deed is Deed.CALL:
                self._call_due(due.slot)
            elif due.deed is Deed.HUSH_OVER:
                self._own_up()
            self._look_ahead()

    def _start_due(self, slot: happened.Slot) -> None:
        now = self._world.clock.now()
        if slot not in self.state.upcoming or self.state.stage is not Stage.WAITING:
            return
        if now - slot.starts > self.state.keep_within:
            self._miss_what_is_past()
            return
        if now - slot.starts > _ON_TIME and not startable(self.state, slot, now):
            self._give_up(slot, now)
            return
        self._record(happened.Started(at=now, slot=slot), look_ahead=False)
        piece = self.state.day.piece(slot.piece)
        self._world.figure.play(piece)
        self._agenda.plays(slot, now + piece.lasts)
        if now - slot.starts > _ON_TIME and (moved := put_right(self.state, now, "I was late")):
            self._record(*moved)
            self._replan_beside()

    def _give_up(self, slot: happened.Slot, now: datetime) -> None:
        """The start is so late that it would break a rule: reach into a quiet time, say."""
        missed = happened.Missed(at=now, slot=slot, why="too late for the rules")
        self._record(*taken_back(self.state, now, [slot], "I was late"), missed)
        self._own_up()

    def _finish_due(self, slot: happened.Slot) -> None:
        with self._lock:
            if self.state.playing == slot:
                self._record(happened.Finished(at=self._world.clock.now(), slot=slot))
                self._own_up()

    def _call_due(self, slot: happened.Slot) -> None:
        """Gather a crowd, unless the figure speaks anyway or was just asked."""
        now, last = self._world.clock.now(), self.state.last_answer
        asked_just_now = last is not None and now - last.at < _CALLED_ENOUGH
        if asked_just_now or slot != self.state.next or not may_call(self.state, now):
            return
        if not self._world.speech.speaking:
            self._answer(CALL, call(self.state, slot, now), Manner.ALOUD)

    def _miss_what_is_past(self) -> None:
        if past := passed(self.state, self._world.clock.now()):
            self._record(*past)

    def _replan_beside(self) -> None:
        asked_of = self.state
        self._world.beside(lambda: self._replan(asked_of))

    def _replan(self, asked_of: DayState) -> None:
        coming = self._world.replanner(asked_of, self._world.clock.now())
        with self._lock:
            now, day = self._world.clock.now(), self.state.to_plan
            if coming is None or self.state.upcoming != asked_of.upcoming:
                return
            promises_kept = {p.starts for p in coming}.issuperset(self._promised_and_coming())
            played = performed(self.state)
            sound = breaks(day, [*played, *coming]) <= breaks(day, played)
            if promises_kept and sound and slots(coming) != self.state.upcoming:
                self._record(*rearranged(self.state, now, coming, ""))
                self._own_up()

    def _promised_and_coming(self) -> set[datetime]:
        coming = {p.starts for p in performances(self.state.day, self.state.upcoming)}
        return coming.intersection(self.state.promised())
