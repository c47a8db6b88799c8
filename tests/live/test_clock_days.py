"""Whole days and nights of alarms through everything that befalls clocks: none is left out, none
done twice, and each is done at its time or, if the machine slept then, when it wakes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import partial
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showtime.live.clock.simulated import SimulatedClock, SimulatedMachine
from showtime.live.clock.steady import Noticed
from showtime.live.clock.trust import Doubted, Source, Trusted, judged

LONDON = ZoneInfo("Europe/London")
HOUR, MINUTE, SECOND = timedelta(hours=1), timedelta(minutes=1), timedelta(seconds=1)
EVENINGS = {
    "a day in winter": datetime(2027, 2, 13, 10, tzinfo=LONDON),
    "midnight": datetime(2027, 2, 13, 20, tzinfo=LONDON),
    "clocks go forward": datetime(2027, 3, 27, 20, tzinfo=LONDON),
    "clocks go back": datetime(2027, 10, 30, 20, tzinfo=LONDON),
    "into the leap day": datetime(2028, 2, 28, 20, tzinfo=LONDON),
    "out of the leap day": datetime(2028, 2, 29, 20, tzinfo=LONDON),
    "new year": datetime(2027, 12, 31, 20, tzinfo=LONDON),
}


class Running:
    """Eight hours with a start each ten minutes, and what became of them."""

    def __init__(
        self, begins: datetime, *, network: bool = False, wrong_by: timedelta = timedelta(0)
    ) -> None:
        self.machine = SimulatedMachine(begins)
        self.machine.wake_with(begins + wrong_by)
        if network:
            self.machine.synchronise()
        trust = judged(self.machine.read(), fair_ends=begins + 8 * HOUR)
        self.clock = SimulatedClock(begins, self.machine, trust)
        self.begins = self.clock.now()
        self.ends = self.begins + 8 * HOUR
        self.planned = [self.begins + n * 10 * MINUTE for n in range(1, 48)]
        self.done: list[tuple[datetime, datetime]] = []
        self.noticed: list[Noticed] = []
        self.clock.on_noticed = self.noticed.append
        for start in self.planned:
            self.clock.set(str(start), start, partial(self._start, start))

    def _start(self, planned: datetime) -> None:
        self.done.append((planned, self.machine.true))

    def finish(self) -> None:
        while self.clock.now() < self.ends:
            self.clock.turn_to(self.clock.now() + MINUTE)
            self.clock.look()

    def late(self) -> list[timedelta]:
        """For each start, by how much of the true time it came after its own."""
        assert [planned for planned, _ in self.done] == self.planned
        return [came - planned for planned, came in self.done]


@pytest.fixture(params=list(EVENINGS))
def running(request: pytest.FixtureRequest) -> Running:
    return Running(EVENINGS[request.param])


def test_through_the_night_each_start_comes_once_at_its_time(running: Running) -> None:
    running.finish()
    assert set(running.late()) == {timedelta(0)}
    assert not running.noticed


def test_local_clocks_show_the_hour_that_is_left_out_and_the_one_that_comes_twice() -> None:
    """European summer time begins and ends at 1:00 UTC on the last Sundays of March and October:
    directive 2000/84/EC, articles 2 and 3 (from memory); the same in the United Kingdom."""
    shown = {}
    for name in ("clocks go forward", "clocks go back"):
        night = Running(EVENINGS[name])
        night.finish()
        local = [planned.astimezone(LONDON) for planned, _ in night.done]
        shown[name] = [f"{moment:%H:%M}" for moment in local if moment.hour in (0, 1, 2)]
    assert "01:30" not in shown["clocks go forward"]
    assert shown["clocks go back"].count("01:30") == 2


@pytest.mark.parametrize("jump", [HOUR, -HOUR, 8766 * HOUR, -8766 * HOUR])
def test_jumps_of_the_system_clock_leave_the_day_alone(running: Running, jump: timedelta) -> None:
    running.clock.turn_to(running.begins + 3 * HOUR + 5 * MINUTE)
    running.clock.jump(jump)
    running.finish()
    assert set(running.late()) == {timedelta(0)}
    assert [noticed.jumped for noticed in running.noticed] == [jump]


def test_after_a_sleep_of_thirty_seconds_the_start_that_fell_in_it_comes_late(
    running: Running,
) -> None:
    running.clock.turn_to(running.planned[20] - 10 * SECOND)
    running.clock.sleep_for(30 * SECOND)
    running.finish()
    late = running.late()
    assert late[20] == 20 * SECOND
    assert set(late[:20] + late[21:]) == {timedelta(0)}


def test_after_an_hour_with_the_lid_closed_the_day_is_told_before_anything_is_done(
    running: Running,
) -> None:
    running.clock.turn_to(running.planned[20] - SECOND)
    done_before = len(running.done)

    def told(noticed: Noticed) -> None:
        running.noticed.append(noticed)
        for start in running.planned:  # what a day does that marks them as missed
            if start < noticed.becomes:
                running.clock.drop(str(start))

    running.clock.on_noticed = told
    running.clock.sleep_for(HOUR)
    assert len(running.done) == done_before
    assert running.noticed[0].slept == HOUR
    running.finish()
    assert [planned for planned, _ in running.done] == running.planned[:20] + running.planned[26:]


def test_a_network_takes_a_clock_that_was_an_hour_behind_forwards() -> None:
    running = Running(EVENINGS["a day in winter"], wrong_by=-HOUR)
    running.clock.turn_to(running.planned[5])
    running.clock.synchronise()
    assert running.clock.now() == running.machine.true == running.planned[5] + HOUR
    assert len(running.done) == 12, "the hour's starts came all at once, for the day to miss"
    running.finish()
    assert set(running.late()[12:]) == {timedelta(0)}


@pytest.mark.parametrize("ahead", [HOUR, 8766 * HOUR])
def test_a_clock_that_was_ahead_is_lost_until_the_keeper_sets_it(ahead: timedelta) -> None:
    running = Running(EVENINGS["a day in winter"], wrong_by=ahead)
    running.clock.turn_to(running.planned[5])
    running.clock.synchronise()
    assert running.noticed[-1].changed
    assert isinstance(running.clock.steady.trust, Doubted)
    assert running.clock.now() == running.planned[5], "it did not run backwards by itself"
    running.clock.set_to(running.machine.true)
    running.clock.turn_to(running.machine.true + 8 * HOUR)
    assert [planned for planned, _ in running.done[:6]] == running.planned[:6]
    assert len({planned for planned, _ in running.done}) == len(running.done), "none came twice"


def test_a_board_with_no_battery_is_lost_after_a_power_cut_until_the_keeper_sets_it() -> None:
    begins = EVENINGS["a day in winter"].astimezone(UTC)
    board = SimulatedMachine(begins, battery=False)
    board.synchronise()
    board.go_on(4 * HOUR)
    last_at = board.true
    board.lose_power(40 * MINUTE)
    trust = judged(board.read(), fair_ends=begins + 8 * HOUR, last_at=last_at)
    assert isinstance(trust, Doubted)
    clock = SimulatedClock(begins, board, trust)
    assert last_at <= clock.now() <= board.true
    clock.turn_to(clock.now() + 5 * MINUTE)
    before = clock.now()
    clock.set_to(board.true)
    assert clock.now() == board.true > before
    clock.look()
    assert clock.now() == board.true


incidents = st.lists(
    st.tuples(
        st.sampled_from(["jump", "sleep", "synchronise", "lose network"]),
        st.integers(1, 60),
        st.sampled_from([SECOND / 10, 30 * SECOND, HOUR, -HOUR, -SECOND, 8766 * HOUR]),
    ),
    max_size=12,
)


@given(incidents, st.sampled_from(list(EVENINGS)), st.booleans())
def test_whatever_befalls_them_starts_come_once_in_order_never_early_nor_late_unless_asleep(
    incidents: list[tuple[str, int, timedelta]], evening: str, network: bool
) -> None:
    running = Running(EVENINGS[evening], network=network)
    asleep: list[tuple[datetime, datetime]] = []
    for verb, minutes, amount in incidents:
        running.clock.turn_to(running.clock.now() + minutes * MINUTE)
        if verb == "jump":
            running.clock.jump(amount)
        elif verb == "sleep":
            fell = running.machine.true
            running.clock.sleep_for(abs(amount) if abs(amount) <= HOUR else HOUR)
            asleep.append((fell, running.machine.true))
        elif verb == "synchronise":
            running.clock.synchronise()
        else:
            running.machine.lose_network()
    running.finish()
    running.late()
    for planned, came in running.done:
        nap = next((woke for fell, woke in asleep if fell < planned <= woke), planned)
        assert came == nap
    assert isinstance(running.clock.steady.trust, Trusted)
    assert running.clock.steady.trust.by in (Source.BATTERY, Source.NETWORK)
