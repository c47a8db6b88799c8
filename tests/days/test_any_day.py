"""Any day: orders, asks, sleeps, clock jumps and power cuts in any order, against plain facts."""

from __future__ import annotations

import random
import time
from datetime import timedelta

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from showtime.fair.wiring import Sets
from showtime.live import DayState, Journal, Outcome, RunningDay, SimulatedClock, Stage, World, fold
from showtime.live import events as happened
from showtime.live.journal.recorder import Recorder
from showtime.live.keeper.mend import breaks, performed
from showtime.live.ledger import promises_at
from showtime.live.planned import replanner
from showtime.live.ports import IdleFigure, OwnAlarms, WordsOnly
from showtime.live.setting import Setting
from showtime.wording import Kind

ORDERS = st.sampled_from(
    [
        ("play",), ("play", "The Pear Dance"), ("hold",), ("release",), ("release",), ("skip",),
        ("late", "4"), ("late", "17"), ("off", "11:20"), ("off", "15:30"), ("add", "10:35"),
        ("add", "12:10"), ("add", "16:10"), ("quiet", "6", "a", "speech"),
        ("quiet", "13:40", "14:10"), ("close", "16:20"), ("piece", "The Pear Dance"), ("undo",),
        ("set", "11:35"), ("set", "12:10", "The Pear Dance"), ("set", "13:02"), ("set", "15:45"),
        ("accept",),
    ]
)  # fmt: skip


class AnyDay(RuleBasedStateMachine):
    """The demo stall's Saturday; the test sets `stall`, `plan` and `english`."""

    stall = plan = english = None

    def __init__(self):
        super().__init__()
        self.fresh = DayState(self.plan.day, self.stall.keep_within)
        self.clock = SimulatedClock(self.plan.day.hours.start - timedelta(minutes=10))
        self.clock.on_noticed = lambda noticed: self.running.noticed(noticed)
        self.journal = Recorder(Journal())
        self.starts = 0
        self.excuses = []
        self.switch_on().begin(self.plan.performances, None)

    def switch_on(self):
        self.starts += 1
        self.alarms = OwnAlarms(self.clock, f"start {self.starts}")
        world = World(
            journal=self.journal,
            clock=self.clock,
            alarms=self.alarms,
            speech=WordsOnly(self.clock),
            figure=IdleFigure(),
            banks={"en": self.english},
            random=random.Random(self.starts),
            replanner=replanner(time.monotonic),
        )
        self.running = RunningDay(self.fresh, world)
        self.setting = Setting(self, self.clock)
        return self.running

    @property
    def day(self):
        return self.running

    def tell(self, words):
        """What the house does with an order, but for the clock, which has a rule of its own."""
        return self.running.tell(words)

    def note(self, line):
        self.shown = line

    def pass_time(self, length):
        held_since = self.clock.now() if self.running.state.stage is Stage.HELD else None
        self.clock.turn_to(self.clock.now() + length)
        if held_since is not None:
            self.excuses.append((held_since, self.clock.now()))

    @rule(seconds=st.integers(1, 40 * 60))
    def time_passes(self, seconds):
        self.pass_time(timedelta(seconds=seconds))

    @rule()
    def somebody_asks(self):
        before = self.running.state.asked
        said = self.running.asked("visitor")
        assert self.running.state.asked == before + 1
        assert said.told is None or said.told > self.clock.now() - timedelta(seconds=10)

    @rule(words=ORDERS)
    def the_keeper_says(self, words):
        would = self.running.would(words)
        assert self.running.tell(words) == would

    @rule(minute=st.integers(10 * 60, 17 * 60), goes_on=st.booleans())
    def a_time_is_dialled(self, minute, goes_on):
        before = self.running.state
        self.setting.understood(minute, Sets.NEXT)
        spoken_back = self.running.state
        assert spoken_back.upcoming == before.upcoming
        assert spoken_back.promises == before.promises
        if not goes_on:
            self.setting.cancelled(minute, Sets.NEXT)
            return
        self.setting.counts(minute, Sets.NEXT)
        said = self.running.state.last_answer
        if said.kind is Kind.AGREED:
            assert said.told in [slot.starts for slot in self.running.state.upcoming]
            assert said.told in self.running.state.promised()
        elif said.kind is Kind.REFUSED:
            assert self.running.state.upcoming == before.upcoming
            assert self.running.state.promises == before.promises

    @rule()
    def one_more_press_accepts(self):
        before = self.running.state
        if not self.setting.accept():
            assert self.running.state is before
            return
        offer, state = before.refused.offer, self.running.state
        taken = any(slot.starts == offer.starts for slot in state.upcoming)
        refused_again = state.refused is not None and state.refused is not before.refused
        assert taken or refused_again or state.doubt or state.stage is Stage.ENDED

    @rule(seconds=st.integers(1, 15 * 60))
    def the_machine_sleeps(self, seconds):
        self.excuses.append((self.clock.now(), self.clock.now() + timedelta(seconds=seconds)))
        self.clock.sleep_for(timedelta(seconds=seconds))

    @rule(by=st.sampled_from([-8760, -1, 1, 8760]))
    def the_system_clock_jumps(self, by):
        before = self.clock.now()
        self.clock.jump(timedelta(hours=by))
        assert self.clock.now() == before

    @rule(minutes=st.integers(-90, 240), seconds=st.integers(0, 55))
    def the_keeper_mistypes_the_clock_and_takes_it_back(self, minutes, seconds):
        before, upcoming = self.clock.now(), self.running.state.upcoming
        noticed = self.clock.steady.set_to(before + timedelta(minutes=minutes))
        self.running.clock_set(noticed, "clock")
        self.pass_time(timedelta(seconds=seconds))
        if self.running.tell(["undo"]).startswith("A performance has started"):
            noticed = self.clock.steady.set_to(before + timedelta(seconds=seconds))
            self.running.clock_set(noticed, "clock")
            self.pass_time(timedelta(0))
            return
        assert self.clock.now() == before + timedelta(seconds=seconds)
        events = list(self.journal)
        undone = max(i for i, event in enumerate(events) if isinstance(event, happened.Undone))
        ahead = {slot for slot in upcoming if slot.starts > self.clock.now()}
        assert ahead <= set(events[undone + 1].slots)

    @precondition(lambda self: self.starts < 4)
    @rule(off=st.integers(0, 8 * 60))
    def the_power_strip_is_kicked(self, off):
        promised = self.running.state.promised()
        self.alarms.close()
        self.excuses.append((self.clock.now(), self.clock.now() + timedelta(seconds=off)))
        self.clock.turn_to(self.clock.now() + timedelta(seconds=off))
        self.switch_on().resume(tuple(self.journal))
        assert self.running.state.stage is Stage.HELD
        assert set(promised) <= {promise.told for promise in self.running.state.promises}

    @invariant()
    def the_journal_folds_to_the_live_state(self):
        assert fold(self.fresh, self.journal) == self.running.state

    @invariant()
    def no_rule_is_broken(self):
        state = self.running.state
        found = {rule for rule, _ in breaks(state.day, performed(state))}
        assert found <= {"grid", "piece"}

    @invariant()
    def nothing_starts_twice_or_out_of_its_time(self):
        started = [event for event in self.journal if isinstance(event, happened.Started)]
        assert len({event.slot for event in started}) == len(started)
        for event in started:
            assert timedelta(0) <= event.at - event.slot.starts <= self.stall.keep_within

    @invariant()
    def every_promise_is_kept_apologised_for_or_to_come(self):
        state, now = self.running.state, self.clock.now()
        for promise in promises_at(state, now):
            if promise.outcome is Outcome.BROKEN:
                assert self.is_excused(promise.told), promise

    def is_excused(self, told):
        """Held, asleep or without power at the time, or so shortly before that none could be
        told of a change."""
        slack = timedelta(minutes=2)
        spans = list(self.excuses)
        if self.running.state.stage is Stage.HELD:
            spans.append((self.clock.now(), self.clock.now()))
        return any(since - slack <= told <= until + slack for since, until in spans)

    def teardown(self):
        self.journal.close()


def test_any_day_keeps_its_rules_and_its_word(tin_orchard, saturday_plan, english, full):
    run_state_machine_as_test(
        type(
            "Saturday",
            (AnyDay,),
            {"stall": tin_orchard, "plan": saturday_plan, "english": english},
        ),
        settings=settings(
            max_examples=400 if full else 40,
            stateful_step_count=30,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),
    )
