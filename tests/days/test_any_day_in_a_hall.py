"""Any day in a hall: plans, quiet, others' times and caps come at any moment, doubled and out of
order; leave is given late, or refused. No rule and no promise is broken that could be kept."""

from __future__ import annotations

import random
from dataclasses import replace
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

from showtime.fair import Performance, QuietInterval, Span, budgets
from showtime.fair.hall import Handout
from showtime.live import DayState, Journal, Outcome, RunningDay, SimulatedClock, Stage, World, fold
from showtime.live import events as happened
from showtime.live.hall import Leave, PretendedHall
from showtime.live.journal.codec import decode, encode
from showtime.live.journal.recorder import Recorder
from showtime.live.keeper.mend import breaks, performances, performed
from showtime.live.ledger import promises_at
from showtime.live.ports import IdleFigure, OwnAlarms, WordsOnly

ORDERS = st.sampled_from(
    [
        ("play",), ("hold",), ("release",), ("release",), ("skip",), ("late", "4"), ("late", "17"),
        ("off", "15:30"), ("add", "12:10"), ("add", "16:10"), ("quiet", "6"), ("undo",),
        ("undo",), ("set", "11:35"), ("set", "15:45"), ("accept",), ("close", "16:20"),
    ]
)  # fmt: skip
CAPS = [
    budgets.Performances(2, timedelta(hours=1), because="the fair"),
    budgets.Performances(3, timedelta(hours=2)),
    budgets.Sounding(timedelta(minutes=10), timedelta(hours=1)),
    budgets.Noise(61.0, budgets.Neighbour("The Lantern Cart", 4.0), timedelta(hours=1)),
]
SECOND = timedelta(seconds=1)


class AnyDayInAHall(RuleBasedStateMachine):
    """The demo stall's Saturday beside others; the test sets `stall`, `plan` and `english`."""

    stall = plan = english = None

    def __init__(self):
        super().__init__()
        self.fresh = DayState(self.plan.day, self.stall.keep_within)
        self.clock = SimulatedClock(self.plan.day.hours.start - timedelta(minutes=10))
        self.journal = Recorder(Journal())
        self.hall = Heard()
        self.starts = 0
        GIVEN.clear()
        self.judged, self.folded = 0, self.fresh
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
            replanner=lambda state, now: None,
            hall=self.hall,
        )
        self.running = RunningDay(self.fresh, world)
        return self.running

    @property
    def day(self):
        return self.plan.day

    def moment(self, minutes):
        return self.day.hours.start + timedelta(minutes=minutes)

    def pass_time(self, length):
        since = self.clock.now()
        held = self.running.state.stage is Stage.HELD
        self.clock.turn_to(since + length)
        if held:
            self.excuses.append((since, self.clock.now()))

    # What happens on any day

    @rule(seconds=st.integers(1, 30 * 60))
    def time_passes(self, seconds):
        self.pass_time(timedelta(seconds=seconds))

    @rule(seconds=st.integers(1, 90))
    def a_moment_passes(self, seconds):
        self.pass_time(timedelta(seconds=seconds))

    @precondition(lambda self: self.running.state.upcoming)
    @rule(later=st.integers(-3, 400))
    def the_next_start_comes(self, later):
        if self.running.state.stage is Stage.HELD:
            self.running.tell(["release"])
        coming = self.running.state.next
        if coming is not None:
            until = coming.starts + timedelta(seconds=later) - self.clock.now()
            self.pass_time(max(until, SECOND))

    @precondition(lambda self: self.running.state.upcoming)
    @rule(later=st.integers(0, 70), asks=st.booleans())
    def the_next_start_is_waited_for(self, later, asks):
        if asks:
            self.running.asked("visitor")
        self.the_next_start_comes(later)

    @rule()
    def somebody_asks(self):
        said = self.running.asked("visitor")
        assert said.told is None or said.told > self.clock.now() - timedelta(seconds=10)

    @rule(words=ORDERS)
    def the_keeper_says(self, words):
        self.running.tell(words)

    @precondition(lambda self: self.starts < 3)
    @rule(off=st.integers(0, 8 * 60))
    def the_power_strip_is_kicked(self, off):
        before = self.running.state
        self.alarms.close()
        self.excuses.append((self.clock.now(), self.clock.now() + timedelta(seconds=off)))
        self.clock.turn_to(self.clock.now() + timedelta(seconds=off))
        self.hall = Heard()
        self.hall.go_silent()
        self.switch_on().resume(tuple(self.journal))
        assert self.running.state.hall == before.hall, "the journal brings back what the hall said"
        assert set(before.day.quiet) == set(self.running.state.day.quiet)
        assert set(before.promised()) <= {p.told for p in self.running.state.promises}

    # What the hall says

    @rule(
        starts=st.lists(st.integers(0, 83), min_size=5, max_size=20, unique=True),
        others=st.lists(st.tuples(st.integers(0, 420), st.integers(1, 9)), max_size=6),
        piece=st.sampled_from(["Frost Bells", "The Pear Dance"]),
    )
    def a_plan_is_handed(self, starts, others, piece):
        given = tuple(
            Performance(self.moment(5 * each), self.day.piece(piece)) for each in sorted(starts)
        )
        self.hall.hand_plan(
            Handout(self.day.signboard.stall, self.day.date, given, self.quiet(others))
        )

    @rule()
    def the_own_plan_is_handed(self):
        plan = self.plan.performances
        self.hall.hand_plan(Handout(self.day.signboard.stall, self.day.date, plan))

    @rule(others=st.lists(st.tuples(st.integers(0, 420), st.integers(1, 9)), max_size=5))
    def others_take_times(self, others):
        playing = self.running.state.playing
        self.hall.take_times(*self.quiet(others))
        assert self.running.state.playing == playing, "others stop nothing that plays"

    def quiet(self, others):
        return tuple(
            QuietInterval("The Lantern Cart plays", Span(self.moment(at), self.moment(at + lasts)))
            for at, lasts in others
        )

    @rule(call=st.integers(0, 3), after=st.integers(-600, 2400), lasts=st.integers(10, 900))
    def quiet_is_called(self, call, after, lasts):
        begins = self.clock.now() + timedelta(seconds=after)
        span = Span(begins, begins + timedelta(seconds=lasts))
        self.hall.call_quiet(str(call), span, "the mayor speaks")
        if span.holds(self.clock.now()) and not self.hall.trouble:
            assert self.running.state.playing is None

    @rule(call=st.integers(0, 3))
    def quiet_is_lifted(self, call):
        self.hall.lift_quiet(str(call))

    @rule(caps=st.lists(st.sampled_from(CAPS), max_size=2, unique_by=id))
    def caps_are_set(self, caps):
        self.hall.set_caps(*caps)

    @rule()
    def everything_is_said_again(self):
        self.hall.repeat()  # in another order than it was said, so that it may be news
        before = self.running.state
        self.hall.repeat()
        self.hall.repeat()
        assert self.running.state is before

    @rule(answer=st.sampled_from(["refuse", "keep_waiting", "give", "give"]))
    def neighbours_answer(self, answer):
        getattr(self.hall, answer)()

    @rule()
    def the_cable_is_pulled(self):
        self.hall.go_silent()

    @rule()
    def the_cable_is_put_back(self):
        self.hall.come_back()

    # What always holds

    @invariant()
    def the_journal_folds_to_the_live_state(self):
        assert fold(self.fresh, self.journal) == self.running.state
        for event in list(self.journal)[self.judged :]:
            assert decode(*encode(event)) == event

    @invariant()
    def nothing_starts_against_a_rule_or_without_leave(self):
        events = list(self.journal)
        for event in events[self.judged :]:
            if isinstance(event, happened.Started):
                self.judge(self.folded, event)
            self.folded = fold(self.folded, [event])
        self.judged = len(events)

    def judge(self, before, event):
        assert timedelta(0) <= event.at - event.slot.starts <= self.stall.keep_within
        piece = self.day.piece(event.slot.piece)
        on_time = event.at - event.slot.starts <= SECOND
        starts = Performance(event.slot.starts if on_time else event.at, piece)
        new = breaks(before.by_its_own, [*performed(before), starts])
        assert {rule for rule, _ in new - breaks(before.by_its_own, performed(before))} <= {"grid"}
        (planned,) = performances(self.day, [event.slot])
        for hush in before.hall.others:
            assert not planned.span.meets(Span(hush.start, hush.end)), "others have that time"
        assert (event.at, Leave.GIVEN) in GIVEN

    @invariant()
    def nothing_sounds_in_quiet_that_was_called_or_in_the_stalls_own(self):
        state = self.running.state
        day = replace(state.by_its_own, budgets=self.day.budgets)
        sounded = [self.until_now(each) for each in performed(state)]
        assert {rule for rule, _ in breaks(day, sounded)} <= {"grid", "piece"}

    def until_now(self, each):
        """What plays is stopped when a quiet begins that was called for in time."""
        lasted = max(min(each.piece.lasts, self.clock.now() - each.starts), SECOND)
        return Performance(each.starts, replace(each.piece, lasts=lasted))

    @invariant()
    def what_is_to_come_breaks_no_rule(self):
        state = self.running.state
        played = performed(state)
        coming = performances(state.day, state.upcoming)
        late = [p for p in coming if p.starts <= self.clock.now()]  # waits for leave
        ahead = [p for p in coming if p not in late]
        new = breaks(state.to_plan, [*played, *ahead]) - breaks(state.to_plan, played)
        assert {rule for rule, _ in new} <= {"grid"}

    @invariant()
    def every_promise_is_kept_apologised_for_or_to_come(self):
        for promise in promises_at(self.running.state, self.clock.now()):
            if promise.outcome is Outcome.BROKEN:
                assert self.is_excused(promise.told), promise

    def is_excused(self, told):
        """Held or without power at the time; or others sounded, or quiet was called for, as long
        as somebody might have been there to be told of the change."""
        slack, there = timedelta(minutes=2), timedelta(minutes=10)
        spans = list(self.excuses)
        if self.running.state.stage is Stage.HELD:
            spans.append((self.clock.now(), self.clock.now()))
        if any(since - slack <= told <= until + slack for since, until in spans):
            return True
        return any(hush.start <= told + there and hush.end >= told for hush in self.hushes())

    def hushes(self):
        for event in self.journal:
            match event:
                case happened.HallPlanned() | happened.OthersPlay():
                    yield from event.hushes
                case happened.HallHushed():
                    yield event.hush
                case happened.QuietAdded():
                    yield happened.Hush(event.start, event.end, event.why)

    def teardown(self):
        self.journal.close()


GIVEN = set()
"""Every answer of the hall to a start, by its moment."""


class Heard(PretendedHall):
    """A hall whose answers are remembered."""

    def leave(self, span, now):
        given = super().leave(span, now)
        GIVEN.add((now, given))
        return given


def test_any_day_in_a_hall_keeps_its_rules_and_its_word(tin_orchard, saturday_plan, english, full):
    run_state_machine_as_test(
        type(
            "SaturdayInAHall",
            (AnyDayInAHall,),
            {"stall": tin_orchard, "plan": saturday_plan, "english": english},
        ),
        settings=settings(
            max_examples=400 if full else 30,
            stateful_step_count=30,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),
    )
