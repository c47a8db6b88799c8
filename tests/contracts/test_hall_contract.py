"""What a running day may rely on of its hall, whether there is one or not."""

import time
from datetime import timedelta

import pytest

from showtime.fair import Span
from showtime.fair.hall import Handout, Joining
from showtime.fairnet import Member
from showtime.live import DayState, SimulatedClock, Stage
from showtime.live.hall import Alone, HandedOut, Leave, PlanHanded, TimesTaken
from showtime.live.keeper.mend import slots

AT_ONCE = 0.25
"""Seconds: nothing in a hall may block, however busy this machine is."""


@pytest.fixture(params=["alone", "handed out", "a line to nowhere"])
def hall(request, tin_orchard, handout):
    if request.param == "alone":
        yield Alone()
    elif request.param == "handed out":
        yield HandedOut(handout, Alone())
    else:
        clock = SimulatedClock(tin_orchard.days[0].hours.start)
        member = Member(tin_orchard, Joining("127.0.0.1", 1), clock)
        yield member
        member.close()


@pytest.fixture
def handout(saturday, saturday_plan):
    return Handout(saturday.signboard.stall, saturday.date, saturday_plan.performances)


@pytest.fixture
def state(saturday, saturday_plan):
    upcoming = slots(saturday_plan.performances)
    return DayState(saturday, timedelta(seconds=60), Stage.WAITING, upcoming)


def test_nothing_blocks_and_without_a_line_every_start_has_leave(hall, state):
    begun = time.monotonic()
    words = []
    hall.listen(words.append)
    for slot in state.upcoming:
        hall.follow(state, slot.starts)
        span = Span(slot.starts, slot.starts + timedelta(minutes=4))
        assert hall.leave(span, slot.starts) is Leave.GIVEN
    assert time.monotonic() - begun < AT_ONCE * max(1, len(state.upcoming))
    told = PlanHanded if isinstance(hall, HandedOut) else TimesTaken
    assert all(isinstance(word, told | TimesTaken) for word in words)


def test_its_trouble_is_one_line(hall):
    assert isinstance(hall.trouble, str)
    assert "\n" not in hall.trouble


def test_it_can_be_let_go_twice(hall):
    hall.close()
    hall.close()


def test_another_day_of_the_stall_is_followed_like_the_first(hall, tin_orchard, state):
    sunday = DayState(tin_orchard.days[1], timedelta(seconds=60), Stage.WAITING)
    hall.follow(state, state.day.hours.start)
    hall.follow(sunday, sunday.day.hours.start)
    span = Span(sunday.day.hours.start, sunday.day.hours.start + timedelta(minutes=4))
    assert hall.leave(span, span.start) is Leave.GIVEN
