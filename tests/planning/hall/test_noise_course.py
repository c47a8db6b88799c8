"""How loud it is at a stall over the day, for a picture."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import timedelta
from math import log10
from random import Random

import pytest

from showtime.fair import Performance, Piece
from showtime.fair.hall import HallDay
from showtime.planning.hall import noise_course

MINUTE = timedelta(minutes=1)
HOUR = 60 * MINUTE
MakeHall = Callable[..., HallDay]


def played(hall: HallDay, *starts: Sequence[float]) -> list[list[Performance]]:
    return [
        [Performance(hall.hours.start + at * MINUTE, day.pieces[0]) for at in mine]
        for day, mine in zip(hall.days, starts, strict=True)
    ]


def level_at(
    hall: HallDay, lists: list[list[Performance]], minute: float, over: timedelta
) -> float:
    moment = hall.hours.start + minute * MINUTE
    points = noise_course(hall, lists, "The Tin Orchard", over)
    return next(point.level for point in points if point.at == moment)


def test_it_runs_from_opening_to_closing_minute_by_minute(make_hall: MakeHall) -> None:
    hall = make_hall(2)
    points = noise_course(hall, played(hall, [], [30]), "The Tin Orchard", HOUR)
    moments = [point.at for point in points]
    assert moments[0] == hall.hours.start and moments[-1] == hall.hours.end
    assert moments == sorted(set(moments))
    assert all(
        after - before <= MINUTE for before, after in zip(moments, moments[1:], strict=False)
    )


def test_where_nothing_is_heard_it_lies_on_the_floor(make_hall: MakeHall) -> None:
    hall = make_hall(2)
    lists = played(hall, [0, 10], [30])
    points = noise_course(hall, lists, "The Tin Orchard", 10 * MINUTE)
    levels = {point.at: point.level for point in points}
    assert levels[hall.hours.start + 30 * MINUTE] == 0.0
    assert levels[hall.hours.start + 45 * MINUTE] == 0.0
    assert min(levels.values()) == 0.0


def test_it_is_highest_when_all_of_a_piece_lies_in_the_stretch(make_hall: MakeHall) -> None:
    """5 of 10 minutes at 74 dBA, 3 m away: 74 - 9.54 - 3.01."""
    hall = make_hall(2)
    lists = played(hall, [], [30])
    expected = 74 - 20 * log10(3) - 10 * log10(2)
    assert level_at(hall, lists, 35, 10 * MINUTE) == pytest.approx(expected)
    assert level_at(hall, lists, 40, 10 * MINUTE) == pytest.approx(expected)
    assert level_at(hall, lists, 41, 10 * MINUTE) < expected


def test_it_turns_where_a_short_piece_begins_and_ends(make_hall: MakeHall) -> None:
    hall = make_hall(2, pieces=(Piece("Short", timedelta(seconds=20), level_dba=90),))
    points = noise_course(hall, played(hall, [], [30.25]), "The Tin Orchard", timedelta(seconds=30))
    assert max(point.level for point in points) == pytest.approx(
        90 - 20 * log10(3) + 10 * log10(20 / 30)
    )


def test_a_stretch_of_no_time_has_no_mean(make_hall: MakeHall) -> None:
    hall = make_hall(2)
    with pytest.raises(ValueError, match="stretch of time"):
        noise_course(hall, [[], []], "The Tin Orchard", timedelta(0))


def test_an_unknown_stall_is_not_there(make_hall: MakeHall) -> None:
    with pytest.raises(KeyError):
        noise_course(make_hall(2), [[], []], "The Tin Orchid", HOUR)


def test_at_random_fairs_it_is_the_sum_of_all_seconds(
    random_hall: Callable[..., HallDay], random_lists: Callable[..., list[list[Performance]]]
) -> None:
    dice = Random(830)
    heard = 0
    for _ in range(20):
        hall = random_hall(dice)
        lists = random_lists(dice, hall)
        number = dice.randrange(len(hall.days))
        over = dice.choice([5, 20, 60]) * MINUTE
        for point in noise_course(hall, lists, hall.names[number], over)[::7]:
            energy = 0.0
            for other, given in enumerate(lists):
                away = hall.places[other].distance_m(hall.places[number])
                for one in given:
                    inside = min(one.ends, point.at) - max(one.starts, point.at - over)
                    if other != number and one.piece.level_dba and inside > timedelta(0):
                        energy += inside / over * 10 ** (one.piece.level_dba / 10) / away**2
            expected = max(0.0, 10 * log10(energy)) if energy else 0.0
            assert point.level == pytest.approx(expected, abs=1e-9)
            heard += expected > 0
    assert heard > 100
