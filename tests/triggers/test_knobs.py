"""Two knobs at the figure's back, on the cheapest converter, turned with gloves on."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from showtime.triggers.knobs import Knobs, Turned

S = 1_000_000
EVERY = 20_000  # microseconds between readings
WIRINGS = {
    "ten bits": (0, 1023),
    "twelve bits, reversed": (4095, 0),
    "sixteen bits, short of its ends": (1_800, 63_000),
    "reversed and short": (60_000, 5_000),
}

Noise = Callable[[], float]


class Bench:
    """Two knobs on wires: where they point, from 0 to 1, and what was told."""

    def __init__(self, ends: tuple[int, int] = (0, 1023), noise: Noise = lambda: 0.0) -> None:
        self.knobs = Knobs(ends, ends)
        self._ends = ends
        self._noise = noise
        self.hour = self.minute = 0.0
        self.now = 0
        self.told: list[Turned] = []
        self.seen: set[tuple[int, int]] = set()

    def wait(self, seconds: float) -> Bench:
        for _ in range(round(seconds * S / EVERY)):
            self.now += EVERY
            told = self.knobs.read(self.now, self._read(self.hour), self._read(self.minute))
            self.told += [told] if told else []
            self.seen.add(self.knobs.stands_at)
        return self

    def point(self, hour: float, minute: float) -> Bench:
        self.hour, self.minute = hour, minute
        return self

    def turn_slowly(self, hour: float, minute: float, seconds: float) -> Bench:
        steps = round(seconds * S / EVERY)
        from_hour, from_minute = self.hour, self.minute
        for step in range(1, steps + 1):
            done, left = step / steps, 1 - step / steps
            self.point(from_hour * left + hour * done, from_minute * left + minute * done)
            self.wait(EVERY / S)
        return self

    def _read(self, share: float) -> int:
        first, last = self._ends
        value = round(first + (last - first) * (share + self._noise()))
        return min(max(value, 0), 65535)

    @property
    def times(self) -> list[tuple[int, int]]:
        return [(told.hour, told.minute) for told in self.told]


def at_mark(number: int) -> float:
    """Where a knob of twelve marks points, the stops being in the dead zones."""
    return 0.03 + 0.94 * number / 11


def one_percent(luck: Random) -> Noise:
    return lambda: luck.uniform(-0.01, 0.01)


@pytest.mark.parametrize("wiring", WIRINGS)
def test_each_mark_is_its_hour_and_its_five_minutes(wiring):
    bench = Bench(WIRINGS[wiring]).wait(2)
    expected = []
    for number in [*range(1, 12), 0]:
        bench.point(at_mark(number), at_mark(11 - number)).wait(2)
        expected.append((number + 1, 5 * (11 - number)))
    assert bench.times == expected


@pytest.mark.parametrize("wiring", WIRINGS)
def test_the_stops_are_the_first_and_the_last_mark(wiring):
    bench = Bench(WIRINGS[wiring], one_percent(Random(1))).point(0.5, 0.5).wait(2)
    bench.point(0, 0).wait(2).point(1, 1).wait(2)
    assert bench.times == [(1, 0), (12, 55)]


def test_stops_that_read_beyond_the_measured_ends_are_stops_all_the_same():
    bench = Bench((300, 700)).point(0.5, 0.5).wait(2)
    bench.point(-0.5, 1.5).wait(2)
    assert bench.times == [(1, 55)]


@pytest.mark.parametrize("wiring", WIRINGS)
def test_noise_never_makes_it_flicker_wherever_a_knob_stands(wiring, full):
    """Every place on the travel, in thousandths: while a knob rests there in noise of 1 %, it is
    at one mark, the nearest or, on an edge, one of the two."""
    luck = Random(wiring)
    for thousandth in range(0, 1001, 1 if full else 7):
        place = thousandth / 1000
        bench = Bench(WIRINGS[wiring], one_percent(luck)).point(place, place)
        bench.wait(2)
        bench.seen.clear()
        bench.wait(20 if full else 4)
        assert len(bench.seen) == 1, place
        assert bench.knobs.still, place
        assert bench.told == [], place
        ((hour, minute),) = bench.seen
        exact = (place - 0.03) / 0.94 * 11
        for mark in (hour - 1, minute // 5):
            assert abs(mark - min(max(exact, 0), 11)) < 0.9, place


@pytest.mark.parametrize("from_below", [True, False])
def test_nor_when_it_came_to_rest_there_by_turning(from_below, full):
    luck = Random(from_below)
    for thousandth in range(0, 1001, 3 if full else 23):
        place = thousandth / 1000
        bench = Bench((0, 4095), one_percent(luck))
        bench.point(0 if from_below else 1, 0.5).wait(1.5)
        bench.turn_slowly(place, 0.5, 0.7).wait(2.5)
        bench.seen.clear()
        bench.wait(5)
        assert len(bench.seen) == 1, place
        assert len(bench.told) <= 1, place


def test_it_counts_after_a_second_and_only_once():
    bench = Bench(noise=one_percent(Random(2))).wait(2)
    bench.turn_slowly(at_mark(2), at_mark(6), 0.5)
    begun = bench.now
    bench.wait(60)
    assert bench.times == [(3, 30)]
    assert 1.0 * S <= bench.told[0].at - begun <= 1.6 * S


def test_the_marks_on_the_way_do_not_count():
    bench = Bench(noise=one_percent(Random(3))).wait(2)
    bench.turn_slowly(at_mark(11), at_mark(11), 20).wait(3)
    assert bench.times == [(12, 55)]


def test_both_knobs_must_be_still():
    bench = Bench().wait(2)
    bench.point(at_mark(1), at_mark(0)).wait(0.8)
    bench.point(at_mark(1), at_mark(6)).wait(0.8)
    assert bench.told == []
    assert bench.wait(1).times == [(2, 30)]


def test_how_the_knobs_stand_at_the_start_is_no_setting():
    assert Bench().point(at_mark(4), at_mark(7)).wait(30).told == []


def test_turning_away_and_back_before_anything_was_set_changes_nothing():
    bench = Bench().point(at_mark(4), at_mark(7)).wait(2)
    bench.point(at_mark(5), at_mark(7)).wait(0.5).point(at_mark(4), at_mark(7)).wait(3)
    assert bench.told == []


def test_a_time_that_was_left_and_turned_to_again_is_told_again():
    bench = Bench(noise=one_percent(Random(6))).wait(2)
    bench.point(at_mark(4), at_mark(7)).wait(2)
    bench.point(at_mark(5), at_mark(7)).wait(0.5).point(at_mark(4), at_mark(7)).wait(9)
    assert bench.times == [(5, 35), (5, 35)]


def test_a_spark_on_the_wire_moves_nothing():
    bench = Bench(noise=one_percent(Random(4))).point(at_mark(4), at_mark(7)).wait(2)
    for _ in range(50):
        bench.point(1, 0).wait(EVERY / S)
        bench.point(at_mark(4), at_mark(7)).wait(0.3)
        assert bench.knobs.still
    assert bench.told == []
    assert bench.seen == {(5, 35)}


def test_nor_does_it_tell_a_time_again():
    bench = Bench(noise=one_percent(Random(7))).wait(2)
    bench.point(at_mark(4), at_mark(7)).wait(2)
    for _ in range(50):
        bench.point(0, 1).wait(EVERY / S)
        bench.point(at_mark(4), at_mark(7)).wait(1.5)
    assert bench.times == [(5, 35)]


def test_a_wire_that_is_off_and_reads_anything_counts_for_nothing():
    luck = Random(5)
    bench = Bench().point(at_mark(4), at_mark(7)).wait(2)
    for _ in range(2_000):
        bench.point(luck.random(), luck.random()).wait(EVERY / S)
    assert bench.told == []
