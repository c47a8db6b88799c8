"""Opening a stall: the clock that it goes by, its journals, and the house that it lives in."""

from __future__ import annotations

import random
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from showtime.fair import Day, Performance, Plan, Stall, instant
from showtime.fair.hall import Handout
from showtime.live.asked import Asked
from showtime.live.clock import Alarms, Clock, KeptClock
from showtime.live.clock.alarms import SchedulerAlarms
from showtime.live.clock.deskclock import last_recorded, trust_of
from showtime.live.clock.kernel import Machine, ThisMachine
from showtime.live.clock.steady import SteadyClock
from showtime.live.clock.trust import Doubted, judged, pretended
from showtime.live.desk import Desk
from showtime.live.events import DayBegan
from showtime.live.faults import watch
from showtime.live.fold import fold
from showtime.live.hall import Alone, Hall, HandedOut
from showtime.live.handout import day_with
from showtime.live.house import House
from showtime.live.journal import JournalError, Recorder
from showtime.live.ledger import looked_at
from showtime.live.places import journal_path, socket_path
from showtime.live.planned import promised_plan, replanner
from showtime.live.ports import Figure, IdleFigure, Speech, WordsOnly, beside
from showtime.live.running import RunningDay
from showtime.live.speaking import open_speech
from showtime.live.state import DayState
from showtime.live.telling import Ear, TellingError
from showtime.live.world import World


def open_record(path: Path | None, stall: Stall, day: Day) -> Recorder:
    """The journal at `path`; JournalError when it is of another stall or day."""
    record = Recorder.at(path)
    began = next((event for event in record.history if isinstance(event, DayBegan)), None)
    if began is not None:
        try:
            _same_day(began, stall, day, path)
        except JournalError:
            record.close()
            raise
    return record


def _same_day(began: DayBegan, stall: Stall, day: Day, path: Path | None) -> None:
    if (began.stall, began.date) != (stall.signboard.stall, day.date):
        raise JournalError(
            f"{path}: this is the journal of {began.stall} on {began.date}; "
            f"give another --journal for {stall.signboard.stall} on {day.date}"
        )
    unknown = sorted({slot.piece for slot in began.slots} - {piece.name for piece in day.pieces})
    if unknown:
        raise JournalError(
            f"{path}: this day was begun with pieces that the settings no longer have: "
            f"{', '.join(unknown)}; put them back, or give another --journal"
        )


@dataclass(frozen=True)
class Edges:
    """What a house stands on in the world; real, unless something else is handed in."""

    machine: Machine = field(default_factory=ThisMachine)
    alarms: Callable[[SteadyClock], Alarms] = SchedulerAlarms
    figure: Callable[[Stall, Clock], Figure] = lambda stall, clock: IdleFigure()
    hall: Callable[[Stall, Clock], Hall] = lambda stall, clock: Alone()


def open_clock(
    machine: Machine, as_if: datetime | None, record: Recorder, stall: Stall
) -> SteadyClock:
    """The day's clock: the machine's, as far as it is believed, or one that starts at `as_if`."""
    if as_if is not None:
        last_at = record.history[-1].at if record.history else as_if
        return SteadyClock(machine, pretended(max(as_if, last_at)))
    return SteadyClock(machine, trust_of(machine, stall, record.history))


@dataclass
class Opener:
    """Opens one day after the other, on the same clock, voice and alarms."""

    desk: Desk
    clock: KeptClock
    alarms: Alarms
    speech: Speech
    seed: int
    journal_of: Callable[[Day], Path | None]
    figure: Figure = field(default_factory=IdleFigure)
    hall: Hall = field(default_factory=Alone)
    handout: Handout | None = None
    changed: Callable[[], None] = field(default=lambda: None)

    def open(self, day: Day, record: Recorder) -> RunningDay:
        """The day running: begun, or resumed where its journal left off."""
        world = World(
            journal=record,
            clock=self.clock,
            alarms=self.alarms,
            speech=self.speech,
            figure=self.figure,
            banks=self.desk.banks(),
            random=random.Random(f"{self.seed} {day.date}"),
            replanner=replanner(self.clock.monotonic),
            beside=beside,
            hall=self._hall_on(day, record),
            changed=lambda: self.changed(),
        )
        fresh = DayState(day, self.desk.stall.keep_within)
        if any(isinstance(event, DayBegan) for event in record.history):
            running = RunningDay(fresh, world)
            running.resume(record.history)
            return running
        # What was rescued of a damaged journal may lack its beginning: its promises still hold.
        rescued = fold(fresh, record.history)
        running = RunningDay(rescued, world)
        now = self.clock.now()
        told = {*self._promised_before(day), *(t for t in rescued.promised() if t > now)}
        promised = tuple(sorted(t for t in told if day.hours.holds(t)))
        running.begin(self._plan(day, promised), self.desk.tomorrow(day, 20.0), promised)
        if record.history:
            running.resume(())
        return running

    def _hall_on(self, day: Day, record: Recorder) -> Hall:
        """The hall, which at first says what was handed out by hand for that day.

        A line to the hall has told a day that is resumed of later plans than that.
        """
        fresh = not record.history or isinstance(self.hall, Alone)
        if self.handout is None or self.handout.date != day.date or not fresh:
            return self.hall
        return HandedOut(self.handout, self.hall)

    def following(self, running: RunningDay) -> RunningDay | None:
        """The next fair day, once its date has come and the one before it is over."""
        coming = self.turns_to(running.state.day, self.clock.now())
        if coming is None:
            return None
        record = open_record(self.journal_of(coming), self.desk.stall, coming)
        self._told_before = told_for(running.state, coming)
        return self.open(coming, record)

    def turns_to(self, day: Day, now: datetime) -> Day | None:
        """The fair day that follows `day` when it is `now`; the last whose date has come."""
        come = [
            each
            for each in self.desk.stall.days
            if each.date > day.date and now >= max(_midnight(each), day.hours.end)
        ]
        return come[-1] if come else None

    def _plan(self, day: Day, promised: tuple[datetime, ...]) -> tuple[Performance, ...]:
        if self.handout is not None and self.handout.date == day.date:
            plan = Plan(day_with(self.handout, day), self.handout.performances)
        else:
            plan = self.desk.plan(day, 20.0)
        if set(promised) <= set(plan.starts):
            return plan.performances
        return promised_plan(plan, promised, self.clock.monotonic)

    _told_before: tuple[datetime, ...] | None = None

    def _promised_before(self, day: Day) -> tuple[datetime, ...]:
        """The starts of `day` that were told on the day before, by this run or an earlier one."""
        if self._told_before is not None:
            told, self._told_before = self._told_before, None
            return told
        past = [each for each in self.desk.stall.days if each.date < day.date]
        path = self.journal_of(past[-1]) if past else None
        if path is None or not path.is_file():
            return ()
        state = fold(DayState(past[-1], self.desk.stall.keep_within), looked_at(path))
        return told_for(state, day)


def told_for(state: DayState, day: Day) -> tuple[datetime, ...]:
    """The starts of a later day that were told on the day of `state`."""
    return tuple(told for told in state.promised() if told >= day.hours.start)


def _midnight(day: Day) -> datetime:
    start = datetime.combine(day.date, datetime.min.time(), tzinfo=day.signboard.timezone)
    return instant(start)


def open_house(
    desk: Desk,
    day: str,
    as_if: str,
    file: Path | None,
    *,
    silent: bool,
    seed: int | None,
    edges: Edges | None = None,
    handout: Handout | None = None,
) -> House:
    """A house with the stall's day running in it, begun or resumed.

    `handout`: on its day, what the stall was handed of the hall's plan in place of its own plan.
    """
    edges = edges or Edges()
    asked = desk.live(day, as_if) if as_if else _asked_of(desk, day, edges.machine)

    def journal_of(each: Day) -> Path | None:
        if file is not None:
            return file if each is asked.day else journal_path(desk.stall, each.date, file)
        return None if asked.pretended else journal_path(desk.stall, each.date)

    record = open_record(journal_of(asked.day), desk.stall, asked.day)
    clock = open_clock(edges.machine, asked.now if asked.pretended else None, record, desk.stall)
    notes = [record.notice]
    hearers: list[Callable[[str], None]] = [notes.append]
    speech = (
        WordsOnly(clock)
        if silent
        else open_speech(desk.stall.speaking, desk.pronounced(), lambda line: hearers[-1](line))
    )
    alarms = edges.alarms(clock)
    luck = secrets.randbits(64) if seed is None else seed
    figure = edges.figure(desk.stall, clock)
    hall = edges.hall(desk.stall, clock)
    opener = Opener(desk, clock, alarms, speech, luck, journal_of, figure, hall, handout)
    ears: list[Ear] = []

    def opened(house: House) -> RunningDay:
        opener.changed = house.changed
        running = opener.open(asked.day, record)
        if isinstance(clock.trust, Doubted) or running.state.doubt:
            running.trusts(clock.trust)
        return running

    def closing() -> None:
        for ear in ears:
            ear.close()
        hall.close()
        alarms.close()
        figure.close()
        speech.close()

    house = House(clock, alarms, opened, opener, closing)
    watch(house.note)
    try:
        ears.append(Ear(socket_path(desk.stall), house.tell))
    except TellingError as error:
        notes.append(str(error))
    hearers.append(house.note)
    house.note("; ".join(filter(None, notes)))
    return house


def _asked_of(desk: Desk, day: str, machine: Machine) -> Asked:
    """The day to run when the machine's clock is asked, and perhaps not believed.

    A machine that does not know the time cannot say which day it is: it goes on with the day that
    it was running last, else with the first. QuestionError: it is sure of the time, and it is
    no fair day.
    """
    stall = desk.stall
    trust = judged(machine.read(), fair_ends=stall.days[-1].hours.end)
    if isinstance(trust, Doubted):
        last = last_recorded(stall)
        chosen = desk.day(day) if day else (last or stall.days[0])
        return Asked(chosen, trust.at)
    return desk.live(day, "")
