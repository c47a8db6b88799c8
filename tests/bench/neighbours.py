"""The running day as one of a hall: how long its words take."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from showtime.fair import Performance, QuietInterval, Span
from showtime.fair.hall import Handout
from showtime.live import DayState, Desk, fold
from showtime.live import events as happened
from showtime.live.hall import Leave, PlanHanded, QuietCalled, TimesTaken
from showtime.live.hallheard import hall_heard
from showtime.live.keeper.due import judged
from showtime.live.keeper.mend import slots
from showtime.settings import shipped
from tests.bench.row import Row, seconds

_BESIDE = "decided beside the day: no press waits for it"


def rows() -> Iterator[Row]:
    desk = Desk.of(shipped("config/tin-orchard.yaml"))
    day = desk.stall.days[0]
    plan = desk.plan(day, 60.0)
    noon = day.hours.start + timedelta(hours=2)
    began = happened.DayBegan(
        at=day.hours.start,
        stall=day.signboard.stall,
        date=day.date,
        slots=slots(p for p in plan.performances if p.starts >= noon),
    )
    state = fold(DayState(day, timedelta(seconds=60)), [began])
    later = tuple(
        Performance(p.starts + timedelta(minutes=5), p.piece)
        for p in plan.performances
        if p.starts >= noon
    )
    others = tuple(
        QuietInterval("The Lantern Cart plays", Span(start, start + timedelta(minutes=4)))
        for start in (noon + timedelta(minutes=10 * each) for each in range(1, 28))
    )
    handed = PlanHanded(Handout(day.signboard.stall, day.date, later, others))
    words = {
        "a plan is handed at noon": handed,
        "others take 27 times": TimesTaken(others),
        "quiet is called from now": QuietCalled("1", Span(noon, noon + timedelta(minutes=9)), ""),
    }
    for name, word in words.items():
        figure = seconds(lambda word=word: hall_heard(state, noon, word))
        yield Row(name, figure * 1000, "ms", 100.0, _BESIDE)
    again = fold(state, hall_heard(state, noon, handed))
    figure = seconds(lambda: hall_heard(again, noon, handed))
    yield Row("the same plan is told again", figure * 1000, "ms", 5.0, "it changes nothing")
    due = state.upcoming[0]
    figure = seconds(lambda: judged(state, due, due.starts, lambda span, now: Leave.GIVEN))
    yield Row("a start that has leave is judged", figure * 1000, "ms", 1.0)
