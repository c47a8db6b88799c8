"""The state is the fold of what happened: any order of events folds, and the stages are a table."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showtime.live import DayState, Stage, fold
from showtime.live import events as happened
from showtime.live.state import TRANSITIONS

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)

moments = st.integers(0, 600).map(lambda minutes: NOON + timedelta(minutes=minutes))
slots = st.builds(happened.Slot, starts=moments, piece=st.sampled_from(["Bells", "Dance", "gone"]))
hushes = st.builds(happened.Hush, start=moments, end=moments, why=st.just("a neighbour plays"))
rules = st.sampled_from(["performances", "sounding", "level", "at_most", "heat", "unheard of"])
caps = st.builds(happened.Cap, rule=rules)


@st.composite
def any_event(draw):
    kind = draw(st.sampled_from(happened.KINDS))
    values = {
        **dict.fromkeys(("at", "told", "closes", "start", "end", "until"), moments),
        **dict.fromkeys(("slot", "becomes", "wanted"), slots),
        "slots": st.lists(slots).map(tuple),
        "call": st.sampled_from(["a speech", "another"]),
        "hush": hushes,
        "hushes": st.lists(hushes).map(tuple),
        "caps": st.lists(caps).map(tuple),
    }
    known = {name: how for name, how in values.items() if name in fields(kind)}
    return draw(st.builds(kind, **known))


def fields(kind):
    return [name for each in kind.__mro__ for name in getattr(each, "__slots__", ())]


@settings(
    max_examples=300,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(several=st.lists(any_event(), max_size=25), cut=st.integers(0, 25))
def test_any_events_fold_and_one_by_one_is_the_same_as_all_at_once(short_day, several, cut):
    fresh = DayState(short_day, timedelta(seconds=60))
    whole = fold(fresh, several)
    assert fold(fold(fresh, several[:cut]), several[cut:]) == whole


def test_every_stage_but_the_first_can_be_reached_and_left():
    reached = {Stage.UNBEGUN}
    for _ in Stage:
        reached |= {after for (before, _), after in TRANSITIONS.items() if before in reached}
    assert reached == set(Stage)
    assert {before for before, _ in TRANSITIONS} == set(Stage)


def test_the_stage_moves_by_the_table_and_by_nothing_else(short_day):
    slot = happened.Slot(NOON, "Bells")
    samples = {
        happened.DayBegan: happened.DayBegan(at=NOON, stall="", date=NOON.date(), slots=()),
        happened.DayResumed: happened.DayResumed(at=NOON),
        happened.DayEnded: happened.DayEnded(at=NOON),
        happened.Started: happened.Started(at=NOON, slot=slot),
        happened.Finished: happened.Finished(at=NOON, slot=slot),
        happened.Held: happened.Held(at=NOON, why=""),
        happened.Released: happened.Released(at=NOON),
        happened.Missed: happened.Missed(at=NOON, slot=slot, why=""),
        happened.Asked: happened.Asked(at=NOON, trigger="key"),
        happened.Undone: happened.Undone(at=NOON),
    }
    for stage in Stage:
        for kind, event in samples.items():
            before = DayState(short_day, timedelta(seconds=60), stage=stage)
            assert fold(before, [event]).stage is TRANSITIONS.get((stage, kind), stage)


def test_a_day_that_was_started_again_is_held_whatever_it_was():
    for stage in set(Stage) - {Stage.UNBEGUN}:
        assert TRANSITIONS[stage, happened.DayResumed] is Stage.HELD


def test_a_performance_whose_start_was_lost_is_known_from_the_restart_that_interrupted_it(
    short_day, short_plan
):
    slots = tuple(happened.Slot(p.starts, p.piece.name) for p in short_plan)
    began = happened.DayBegan(at=slots[0].starts, stall="Stall", date=short_day.date, slots=slots)
    resumed = happened.DayResumed(at=slots[0].starts + MINUTE, interrupted=slots[0])
    state = fold(DayState(short_day, MINUTE), [began, resumed])
    assert [(p.slot, p.interrupted) for p in state.played] == [(slots[0], True)]
    assert slots[0] not in state.upcoming, "it is not played a second time"
    twice = fold(state, [happened.DayResumed(at=slots[0].starts + 2 * MINUTE)])
    assert twice.played == state.played
