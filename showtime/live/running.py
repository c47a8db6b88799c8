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
from showtime.live.answer import Manner, answer, call, manner
from showtime.live.clock.steady import Noticed
from showtime.live.clock.trust import Trust
from showtime.live.fold import fold
from showtime.live.heard import heard, wants_plan
from showtime.live.keeper.actions import Decision, Refusal, put_right
from showtime.live.keeper.due import Go, Wait, judged, with_leave
from showtime.live.keeper.mend import slots
from showtime.live.keeper.orders import outcome
from showtime.live.keeper.settime import passed, trust_event, was_set
from showtime.live.lookahead import LookAhead
from showtime.live.neighbourly import Neighbourly
from showtime.live.replanning import Replanning
from showtime.live.reports import Failed, Report
from showtime.live.saying import answered, owed, shown, still_true, wants_call
from showtime.live.state import CALL, OF_ITSELF, DayState, Stage
from showtime.live.timetable import Deed, Due
from showtime.live.world import World
from showtime.wording import Situation


class RunningDay:
    """One day as it goes. `state` may be read at any time: it is a value, replaced as a whole."""

    def __init__(self, begun_from: DayState, world: World) -> None:
        self.state = begun_from
        self._world = world
        self._lock = threading.RLock()
        self._agenda = Agenda(world.alarms, self._do, self._finish_due)
        self._ahead = LookAhead(world, self._agenda, self._lock, lambda: self.state)
        self._replanning = Replanning(world, self._lock, lambda: self.state, self._happen)
        self.neighbours = Neighbourly(
            world, self._lock, lambda: self.state, self._happen, self._replanning.beside
        )

    @property
    def trouble(self) -> str:
        """Why nothing is recorded, or what is wrong with the figure; empty when all is well."""
        return self._world.journal.trouble or self.state.trouble

    @property
    def is_speaking(self) -> bool:
        """True while an answer is in the air."""
        return self._world.speech.speaking

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
        self._world.figure.listen(self.figure_says)
        self.neighbours.listen()

    def resume(self, history: Iterable[happened.Event]) -> None:
        """Go on with a day that was begun before; it is held until the keeper releases it."""
        self.state = fold(self.state, history)
        now = self._world.clock.now()
        self._record(happened.DayResumed(at=now, interrupted=self.state.playing))
        self._agenda.follow(self.state, now)
        self._tell_figure()
        self._world.figure.listen(self.figure_says)
        self.neighbours.listen()

    def figure_says(self, report: Report) -> None:
        """The figure tells something of itself. Whatever is wrong with it holds the day."""
        with self._lock:
            before = self.state
            events = heard(before, self._world.clock.now(), report)
            if isinstance(report, Failed):
                self._world.figure.stop()
            if events:
                self._happen(events)
            if wants_plan(before, events):
                self._replanning.beside()

    def trusts(self, trust: Trust) -> None:
        """From now on the clock is believed, on somebody's word, or it is not."""
        with self._lock:
            self._record(trust_event(trust, self._world.clock.now()))

    def clock_set(self, noticed: Noticed, words: str) -> None:
        """The keeper has set the clock, in these words; that can be undone."""
        with self._lock:
            now = self._world.clock.now()
            self._agenda.clock_set(noticed.moved)
            self._record(*was_set(self.state, noticed, words, now))
            self._tell_figure()
            self.neighbours.listen()  # what was told before was taken for another time

    def noticed(self, noticed: Noticed) -> None:
        """Something befell the clocks: what was slept through is missed, not done in a burst."""
        with self._lock:
            self._agenda.clock_set(noticed.moved)
            if noticed.changed:
                self.trusts(noticed.trust)
            self._miss_what_is_past()
            self._tell_figure()
            self.neighbours.listen()
            self._ahead.now()

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
            if last and self._world.speech.speaking and still_true(last, situation):
                self._record(happened.Asked(at=situation.now, trigger=trigger))
                return last
            return self._answer(trigger, situation, manner(self.state, situation.now))

    def says(self, situation: Situation, trigger: str) -> happened.Answered:
        """Say this, as loudly as the moment allows."""
        with self._lock:
            return self._answer(trigger, situation, manner(self.state, situation.now))

    def shown(self) -> DayState:
        """The state for visitors to see; the start that it tells is on disk before they do."""
        with self._lock:
            if told := shown(self.state, self._world.clock.now()):
                self._record(told, look_ahead=False)
            return self.state

    def tell(self, words: Sequence[str]) -> str:
        """Do what the keeper says, and tell what it changed. QuestionError: it means nothing."""
        if words and words[0].lower() == "hold":
            self._world.figure.stop()  # before all else
        while True:
            state, now = self.state, self._world.clock.now()
            decided = outcome(state, now, words)
            with self._lock:
                if self.state is state or isinstance(decided, Refusal):
                    return self._decided(with_leave(state, now, decided, self._world.hall.leave))

    def would(self, words: Sequence[str]) -> str:
        """What `tell` would answer now; nothing happens."""
        return outcome(self.state, self._world.clock.now(), words).said

    def _decided(self, decided: Decision | Refusal) -> str:
        if isinstance(decided, Decision):
            self._record(*decided.events, *self._clock_taken_back(decided))
            coming, now = self.state.next, self._world.clock.now()
            if coming is not None and coming.starts <= now:
                self._start_due(coming)
            self._own_up()
            if decided.changes:
                self._replanning.beside()
        return decided.said

    def _happen(self, events: Sequence[happened.Event]) -> None:
        """This happens, and what was told otherwise is owned up to."""
        self._record(*events)
        self._own_up()

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
        apology = owed(self.state, self._world.clock.now())
        if apology is not None:
            self._answer(OF_ITSELF, apology, Manner.ALOUD)

    def _answer(self, trigger: str, situation: Situation, how: Manner) -> happened.Answered:
        said = answered(trigger, situation, self._ahead.words(situation), how)
        self._record(said, look_ahead=False)
        if how is not Manner.SILENT:
            words = [(each.text, each.language) for each in said.every]
            self._world.speech.say(words, softly=how is Manner.SOFTLY)
        self._ahead.soon()
        return said

    def _record(self, *events: happened.Event, look_ahead: bool = True) -> None:
        """Events to disk, then into the state, then into the alarms; before all else, a stop."""
        with self._lock:
            if any(isinstance(event, happened.Stopped) for event in events):
                self._world.figure.stop()
            self._world.journal.append(*events)
            before, self.state = self.state, fold(self.state, events)
            if (self.state.upcoming, self.state.hall) != (before.upcoming, before.hall):
                self._agenda.follow(self.state, self._world.clock.now())
            if self.state.upcoming != before.upcoming:
                self._tell_figure()
            if look_ahead:
                self._ahead.now()
            self.neighbours.look()
        self._world.changed()

    def _tell_figure(self) -> None:
        state = self.state
        self._world.figure.follow(state.day, state.upcoming, self._world.clock.now())

    def _do(self, due: Due) -> None:
        """An alarm went off."""
        with self._lock:
            if due.slot is not None and due.deed is Deed.START:
                self._start_due(due.slot)
            elif due.slot is not None and due.deed is Deed.CALL:
                self._call_due(due.slot)
            elif due.deed is Deed.HUSH:
                self.neighbours.hush()
            elif due.deed is Deed.HUSH_OVER:
                self._own_up()
            self._ahead.now()

    def _start_due(self, slot: happened.Slot) -> None:
        now = self._world.clock.now()
        if slot not in self.state.upcoming or self.state.stage is not Stage.WAITING:
            return
        if now - slot.starts > self.state.keep_within:
            self._miss_what_is_past()
            return
        turn = judged(self.state, slot, now, self._world.hall.leave)
        if isinstance(turn, Wait):
            self._agenda.put_off(slot, turn.until)
        elif isinstance(turn, Go):
            self._start(slot, now, late=turn.late)
        else:
            self._happen(turn.events)
            if turn.replan:
                self._replanning.beside()

    def _start(self, slot: happened.Slot, now: datetime, *, late: bool) -> None:
        self._record(happened.Started(at=now, slot=slot), look_ahead=False)
        piece = self.state.day.piece(slot.piece)
        self._world.figure.play(piece)
        self._agenda.plays(slot, now + piece.lasts + (self._world.figure.patience or timedelta(0)))
        if late and (moved := put_right(self.state, now, "I was late")):
            self._record(*moved)
            self._replanning.beside()

    def _finish_due(self, slot: happened.Slot) -> None:
        with self._lock:
            if self.state.playing != slot:
                return
            if self._world.figure.patience is not None:
                self.figure_says(Failed(f"no word that {slot.piece} has ended", lasting=False))
            else:
                self._record(happened.Finished(at=self._world.clock.now(), slot=slot))
                self._own_up()

    def _call_due(self, slot: happened.Slot) -> None:
        """Gather a crowd, unless the figure speaks anyway or was just asked."""
        now = self._world.clock.now()
        if wants_call(self.state, slot, now) and not self._world.speech.speaking:
            self._answer(CALL, call(self.state, slot, now), Manner.ALOUD)

    def _miss_what_is_past(self) -> None:
        with self._lock:
            if past := passed(self.state, self._world.clock.now()):
                self._record(*past)
