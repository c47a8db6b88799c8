"""What the organiser is told when stalls do not keep the peace."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from showtime.fair import Performance, Piece
from showtime.fair.hall import HallDay, HallNoise, Place, Together
from showtime.planning import broken
from showtime.planning.hall import broken_in_hall

MINUTE = timedelta(minutes=1)
MakeHall = Callable[..., HallDay]


def played(hall: HallDay, *starts: Sequence[float]) -> list[list[Performance]]:
    """The first piece of each stall, so many minutes after the hall opens."""
    return [
        [Performance(hall.hours.start + at * MINUTE, day.pieces[0]) for at in mine]
        for day, mine in zip(hall.days, starts, strict=True)
    ]


def at(hall: HallDay, minutes: float) -> datetime:
    return hall.hours.start + minutes * MINUTE


def test_a_plan_that_keeps_the_peace_breaks_nothing(make_hall: MakeHall) -> None:
    hall = make_hall(3)
    assert broken_in_hall(hall, played(hall, [0], [5], [10])) == ()


def test_who_ends_as_the_other_starts_does_not_sound_together_with_it(make_hall: MakeHall) -> None:
    hall = make_hall(2)
    assert broken_in_hall(hall, played(hall, [5], [0, 10])) == ()


def test_two_neighbours_at_once_are_told_with_the_time_the_distance_and_the_rule(
    make_hall: MakeHall,
) -> None:
    hall = make_hall(2)
    (found,) = broken_in_hall(hall, played(hall, [0], [0]))
    assert (found.stall, found.rule, found.others) == (
        "The Lantern Cart",
        "together",
        ("The Tin Orchard",),
    )
    assert found.at == at(hall, 0)
    assert found.why == (
        "The Tin Orchard and The Lantern Cart sound together at 10:00, 3 m apart; "
        "fair rule: at most 1 stall sounds at once within 6 m"
    )


def test_a_stretch_of_time_is_broken_once_by_the_one_who_came_last(make_hall: MakeHall) -> None:
    hall = make_hall(2, pieces=(Piece("Long", 30 * MINUTE, level_dba=74),))
    (found,) = broken_in_hall(hall, played(hall, [10], [0]))
    assert found.stall == "The Tin Orchard"
    assert found.at == at(hall, 10)


def test_just_the_distance_of_the_rule_is_within_it(make_hall: MakeHall) -> None:
    near, far = make_hall(2, apart_m=6), make_hall(2, apart_m=6.01)
    assert len(broken_in_hall(near, played(near, [0], [0]))) == 1
    assert broken_in_hall(far, played(far, [0], [0])) == ()


def test_a_row_of_three_where_the_outer_two_may_sound_at_once(make_hall: MakeHall) -> None:
    hall = make_hall(3, apart_m=4)
    assert broken_in_hall(hall, played(hall, [0], [], [0])) == ()


def test_the_middle_one_is_told_of_both_its_neighbours(make_hall: MakeHall) -> None:
    hall = make_hall(3, apart_m=4, pieces=(Piece("Long", 10 * MINUTE, level_dba=74),))
    (found,) = broken_in_hall(hall, played(hall, [0], [5], [0]))
    assert found.others == ("The Tin Orchard", "The Moth Waltz")
    assert found.why.startswith(
        "The Lantern Cart sounds at 10:05 together with "
        "The Tin Orchard (4 m away) and The Moth Waltz (4 m away); "
    )


def test_two_may_sound_and_a_third_near_to_both_may_not(make_hall: MakeHall) -> None:
    hall = make_hall(3, together=(Together(2, 6, "fair rule"),))
    assert broken_in_hall(hall, played(hall, [0], [0], [5])) == ()
    (found,) = broken_in_hall(hall, played(hall, [0], [0], [0]))
    assert found.others == ("The Tin Orchard", "The Lantern Cart")


def test_three_of_whom_two_stand_too_far_apart_are_no_set(make_hall: MakeHall) -> None:
    hall = make_hall(3, apart_m=4, together=(Together(2, 6),))
    assert broken_in_hall(hall, played(hall, [0], [0], [0])) == ()


def test_all_are_named_with_whom_it_is_too_many_and_nobody_else(make_hall: MakeHall) -> None:
    """Two pairs left and right of the last, and one near to it that is near to none of them."""
    spots = [Place(-5, 0), Place(-5, 1), Place(5, 0), Place(5, 1), Place(0, -5), Place(0, 0)]
    hall = replace(make_hall(6, together=(Together(2, 5.5),)), places=tuple(spots))
    (found,) = broken_in_hall(hall, played(hall, [0], [0], [0], [0], [0], [0]))
    assert found.stall == hall.names[5]
    assert found.others == hall.names[:4]


def test_the_whole_hall_has_a_limit_of_its_own(make_hall: MakeHall) -> None:
    hall = make_hall(5, apart_m=50, together=(Together(3, because="the power line"),))
    assert broken_in_hall(hall, played(hall, [0], [0], [0], [], [])) == ()
    (found,) = broken_in_hall(hall, played(hall, [0], [0], [0], [], [0]))
    assert found.stall == "The Clockwork Well"
    assert found.why.endswith(
        "together with The Tin Orchard, The Lantern Cart and The Moth Waltz; "
        "the power line: at most 3 stalls sound at once in the hall"
    )


def test_a_stall_s_own_rules_are_told_with_its_name(make_hall: MakeHall) -> None:
    hall = make_hall(2)
    (found,) = broken_in_hall(hall, played(hall, [3], []))
    (own,) = broken(hall.days[0], played(hall, [3], [])[0])
    assert (found.stall, found.rule, found.why) == ("The Tin Orchard", "grid", own.why)
    assert found.others == ()


def test_a_stall_that_sounds_twice_at_once_is_one_stall(make_hall: MakeHall) -> None:
    hall = make_hall(2, together=(Together(1),))
    rules = [each.rule for each in broken_in_hall(hall, played(hall, [0, 0], []))]
    assert rules == ["gap"]


def test_noise_is_told_in_dba_with_who_is_heard_most(make_hall: MakeHall) -> None:
    """74 dBA of 20 minutes in an hour are 59.7 at 3 m, 53.7 at 6 m: together 60.7."""
    rule = HallNoise(60, 60 * MINUTE, at=("The Tin Orchard",), because="agreed")
    hall = make_hall(
        3, together=(), noise=(rule,), pieces=(Piece("Long", 20 * MINUTE, level_dba=74),)
    )
    (found,) = broken_in_hall(hall, played(hall, [0], [0], [30]))
    assert (found.stall, found.rule) == ("The Tin Orchard", "noise")
    assert found.others == ("The Lantern Cart",)
    assert found.at == at(hall, 30)
    assert found.why == (
        "60.7 dBA at The Tin Orchard between 10:00 and 11:00, "
        "most of it from The Lantern Cart (59.7 dBA); "
        "agreed: at most 60 dBA at The Tin Orchard over any 60 min"
    )


def test_of_a_long_piece_only_what_lies_in_the_stretch_is_heard(make_hall: MakeHall) -> None:
    """The worst ten minutes begin when the cart has sounded for ten of its twenty."""
    rule = HallNoise(64.9, 10 * MINUTE, at=("The Tin Orchard",))
    pieces = (Piece("Long", 20 * MINUTE, level_dba=74),)
    hall = make_hall(3, together=(), noise=(rule,), pieces=pieces)
    (found,) = broken_in_hall(hall, played(hall, [], [0], [15]))
    assert found.why.startswith(
        "65.0 dBA at The Tin Orchard between 10:10 and 10:20, "
        "most of it from The Lantern Cart (64.5 dBA); "
    )


def test_a_stall_s_own_sound_is_no_noise_to_itself(make_hall: MakeHall) -> None:
    hall = make_hall(2, together=(), noise=(HallNoise(30, 60 * MINUTE, at=("The Tin Orchard",)),))
    assert broken_in_hall(hall, played(hall, [0, 10, 20], [])) == ()


def test_noise_that_falls_and_rises_again_is_broken_twice(make_hall: MakeHall) -> None:
    rule = HallNoise(63, 10 * MINUTE, at=("The Tin Orchard",))
    hall = make_hall(
        2, together=(), noise=(rule,), pieces=(Piece("Long", 10 * MINUTE, level_dba=74),)
    )
    found = broken_in_hall(hall, played(hall, [], [0, 60]))
    assert [each.at for each in found] == [at(hall, 0), at(hall, 60)]


def test_over_the_day_the_listener_s_open_hours_count(make_hall: MakeHall) -> None:
    """5 minutes of 64.5 dBA in 120 are 50.7; what sounds before it opens is not heard."""
    rule = HallNoise(50, 60 * MINUTE, whole_day=True, at=("The Tin Orchard",))
    hall = make_hall(2, together=(), noise=(rule,))
    (found,) = broken_in_hall(hall, played(hall, [], [0]))
    assert found.why.startswith("50.7 dBA at The Tin Orchard over the day, ")
    late = replace(hall.days[0].hours, start=at(hall, 5))
    days = (replace(hall.days[0], hours=late), *hall.days[1:])
    assert broken_in_hall(replace(hall, days=days), played(hall, [], [0])) == ()


def test_a_piece_whose_level_is_not_known_makes_no_noise(make_hall: MakeHall) -> None:
    hall = make_hall(
        2, together=(), noise=(HallNoise(1, 60 * MINUTE),), pieces=(Piece("Mute", 5 * MINUTE),)
    )
    assert broken_in_hall(hall, played(hall, [0], [0])) == ()


def test_all_is_told_in_order_of_time(make_hall: MakeHall) -> None:
    hall = make_hall(4, noise=(HallNoise(55, 30 * MINUTE),))
    found = broken_in_hall(hall, played(hall, [60, 0, 3], [0, 61], [3], [60]))
    assert [each.at for each in found] == sorted(each.at for each in found)
    assert {each.rule for each in found} == {"together", "noise", "grid", "gap"}


def test_a_list_too_few_is_refused(make_hall: MakeHall) -> None:
    hall = make_hall(3)
    with pytest.raises(ValueError, match="zip"):
        broken_in_hall(hall, [[], []])


def test_a_hall_without_stalls_or_sound_is_at_peace(make_hall: MakeHall) -> None:
    hall = make_hall(2, noise=(HallNoise(55, 30 * MINUTE), HallNoise(55, MINUTE, whole_day=True)))
    assert broken_in_hall(hall, [[], []]) == ()
    nobody = replace(hall, days=(), places=())
    assert broken_in_hall(nobody, []) == ()


def test_a_hundred_stalls_in_one_place_are_looked_at_in_a_blink(make_hall: MakeHall) -> None:
    """All near to all, and a rule that half of them break: no search through all their sets."""
    hall = make_hall(100, apart_m=0.01, together=(Together(50, 6), Together(99, 6)))
    found = broken_in_hall(hall, played(hall, *[[0]] * 100))
    assert len(found) == 50 + 1


def test_a_neighbour_brought_nearer_breaks_what_was_kept(make_hall: MakeHall) -> None:
    hall = make_hall(2, apart_m=7)
    lists = played(hall, [0], [0])
    assert broken_in_hall(hall, lists) == ()
    nearer = replace(hall, places=(Place(0, 0), Place(4, 4)))
    (found,) = broken_in_hall(nearer, lists)
    assert ", 5.7 m apart;" in found.why
