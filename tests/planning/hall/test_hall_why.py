"""The organiser, or a keeper, asks why a stall does not perform then."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from time import monotonic

import pytest

from showtime.fair import Performance, Piece, QuietInterval, Span
from showtime.fair.hall import HallDay, HallNoise, HallPlan, Together
from showtime.fair.wishes import Fixed, Wishes
from showtime.planning.hall import HallWhyNot, why_in_hall
from showtime.planning.hall.why import Verdict

MINUTE = timedelta(minutes=1)
ORCHARD, CART, MOTH = "The Tin Orchard", "The Lantern Cart", "The Moth Waltz"
MakeHall = Callable[..., HallDay]


def plan_of(hall: HallDay, *starts: list[float]) -> HallPlan:
    lists = tuple(
        tuple(Performance(hall.hours.start + at * MINUTE, day.pieces[0]) for at in mine)
        for day, mine in zip(hall.days, starts, strict=True)
    )
    return HallPlan(hall, lists, tuple(10 for _ in lists))


def at(hall: HallDay, minutes: float) -> datetime:
    return hall.hours.start + minutes * MINUTE


def asked(plan: HallPlan, minutes: float, stall: str = ORCHARD) -> HallWhyNot:
    moment = at(plan.hall, minutes)
    return why_in_hall(plan.hall, plan, stall, moment, limit=20.0, monotonic=monotonic)


def moved(answer: HallWhyNot) -> list[tuple[str, str, str | None]]:
    return [
        (move.stall, f"{move.planned:%H:%M}", None if move.to is None else f"{move.to:%H:%M}")
        for move in answer.moves
    ]


def with_day(hall: HallDay, number: int, **changed: object) -> HallDay:
    day = replace(hall.days[number], **changed)
    return replace(hall, days=(*hall.days[:number], day, *hall.days[number + 1 :]))


def test_what_fits_is_allowed(make_hall: MakeHall) -> None:
    answer = asked(plan_of(make_hall(2), [0], [30]), 10)
    assert answer.allowed and answer.possible and answer.reasons == ()
    assert answer.nearest == answer.at
    assert answer.note == "Frost Bells at 10:10 fits beside the plan as it is."


def test_what_is_planned_is_told_as_such(make_hall: MakeHall) -> None:
    answer = asked(plan_of(make_hall(2), [0], [30]), 0)
    assert answer.allowed
    assert answer.note == "Frost Bells is already planned at 10:00."


def test_a_neighbour_that_plays_then_is_named_with_its_times_and_how_far_it_is(
    make_hall: MakeHall,
) -> None:
    answer = asked(plan_of(make_hall(2), [], [30]), 30)
    (reason,) = answer.reasons
    assert (reason.rule, reason.others) == ("together", (CART,))
    assert reason.why == (
        "The Lantern Cart, 3 m away, plays Frost Bells from 10:30 to 10:35; "
        "fair rule: at most 1 stall sounds at once within 6 m"
    )


def test_moving_its_own_never_helps_against_a_neighbour_but_the_neighbour_could(
    make_hall: MakeHall,
) -> None:
    answer = asked(plan_of(make_hall(2), [0], [30]), 30)
    assert not answer.allowed
    assert answer.own.verdict is Verdict.NEVER
    assert answer.neighbours is not None and answer.neighbours.verdict is Verdict.WOULD
    assert moved(answer) == [(CART, "10:30", "10:25")]
    assert f"{answer.nearest:%H:%M}" == "10:25"


def test_the_neighbour_goes_where_nobody_else_plays(make_hall: MakeHall) -> None:
    answer = asked(plan_of(make_hall(3), [0], [30], [25, 35]), 30)
    assert moved(answer) == [(CART, "10:30", "10:20")]


def test_neighbours_on_both_sides_give_way(make_hall: MakeHall) -> None:
    plan = plan_of(make_hall(3, together=(Together(1, 3),)), [30], [], [30])
    answer = asked(plan, 30, CART)
    assert {name for reason in answer.reasons for name in reason.others} == {ORCHARD, MOTH}
    assert [stall for stall, _, _ in moved(answer)] == [ORCHARD, MOTH]


def test_of_two_only_one_must_give_way_where_two_may_sound(make_hall: MakeHall) -> None:
    plan = plan_of(make_hall(3, together=(Together(2),)), [], [30], [30])
    answer = asked(plan, 30)
    assert len(answer.moves) == 1


def test_nothing_can_when_the_stall_s_own_lunch_is_then(make_hall: MakeHall) -> None:
    hall = make_hall(2)
    lunch = QuietInterval("the keeper's lunch", Span(at(hall, 20), at(hall, 50)))
    answer = asked(plan_of(with_day(hall, 0, quiet=(lunch,)), [0], [30]), 30)
    assert {reason.rule for reason in answer.reasons} == {"quiet", "together"}
    assert answer.own.verdict is Verdict.NEVER
    assert answer.neighbours is not None and answer.neighbours.verdict is Verdict.NEVER
    assert not answer.possible and answer.moves == ()
    assert answer.nearest == at(hall, 15)


def test_what_a_neighbour_has_fixed_stays(make_hall: MakeHall) -> None:
    hall = make_hall(2)
    wishes = Wishes(fixed=(Fixed(at(hall, 30), "Frost Bells", "the judges come by"),))
    answer = asked(plan_of(with_day(hall, 1, wishes=wishes), [0], [30]), 30)
    assert answer.neighbours is not None and answer.neighbours.verdict is Verdict.NEVER
    assert "What is fixed stays" in answer.note


def test_no_way_found_is_not_told_as_none_there(make_hall: MakeHall) -> None:
    """The cart plays all day long: it has no other place, but that is not proven."""
    hall = make_hall(2)
    plan = plan_of(hall, [], [float(5 * n) for n in range(24)])
    answer = asked(plan, 30)
    assert answer.neighbours is not None
    assert answer.neighbours.verdict is Verdict.NOT_FOUND
    assert answer.nearest is None
    assert answer.note == (
        "No way to make room was found; there may be one all the same. "
        "No start of the day is free beside the plan as it is."
    )


def test_its_own_moves_do_where_only_its_own_rule_stands_in_the_way(make_hall: MakeHall) -> None:
    hall = with_day(make_hall(2), 0, gap=20 * MINUTE)
    answer = asked(plan_of(hall, [20], [60]), 40)
    assert [reason.rule for reason in answer.reasons] == ["gap"]
    assert answer.neighbours is None
    assert answer.own.verdict is Verdict.WOULD
    assert moved(answer) == [(ORCHARD, "10:20", "10:15")]


def test_its_own_moves_keep_clear_of_the_neighbours(make_hall: MakeHall) -> None:
    hall = with_day(make_hall(2), 0, gap=20 * MINUTE)
    answer = asked(plan_of(hall, [20], [10, 15]), 40)
    assert moved(answer) == [(ORCHARD, "10:20", "10:05")]


def noisy(make_hall: MakeHall, limit_dba: float, stalls: int = 3) -> HallDay:
    rule = HallNoise(limit_dba, 60 * MINUTE, at=(MOTH,), because="agreed")
    pieces = (Piece("Frost Bells", 5 * MINUTE, level_dba=74),)
    return make_hall(stalls, together=(), noise=(rule,), pieces=pieces, hours=4)


def test_who_fills_the_limit_is_named(make_hall: MakeHall) -> None:
    """Two pieces of 5 min at 74 dBA from 3 m are 56.7 in an hour; one from 6 m is 47.6."""
    answer = asked(plan_of(noisy(make_hall, 57), [], [0, 30], []), 30)
    (reason,) = answer.reasons
    assert (reason.rule, reason.others) == ("noise", (CART,))
    assert reason.why.startswith("57.2 dBA at The Moth Waltz between 10:00 and 11:00, ")
    assert answer.own.verdict is Verdict.NEVER
    assert answer.neighbours is not None and answer.neighbours.verdict is Verdict.WOULD
    ((stall, _, _),) = moved(answer)
    assert stall == CART


def test_of_its_own_noise_one_goes_later(make_hall: MakeHall) -> None:
    """Seven pieces of its own from 6 m fill 56 dBA; the eighth is one too many for an hour."""
    own = [0.0, 5, 10, 15, 20, 25, 30]
    answer = asked(plan_of(noisy(make_hall, 56.2), own, [], []), 40)
    assert [reason.rule for reason in answer.reasons] == ["noise"]
    assert answer.own.verdict is Verdict.WOULD
    assert len(answer.moves) == 1
    assert answer.neighbours is None


def test_the_piece_that_comes_closest_is_told_of(make_hall: MakeHall) -> None:
    pieces = (Piece("Long", 20 * MINUTE), Piece("Short", 5 * MINUTE))
    hall = make_hall(2, pieces=pieces)
    answer = asked(plan_of(hall, [], [30]), 25)
    assert answer.allowed and answer.piece == "Short"
    named = why_in_hall(
        hall, plan_of(hall, [], [30]), ORCHARD, at(hall, 25), pieces[0], monotonic=monotonic
    )
    assert not named.allowed and named.piece == "Long"
    assert named.nearest == at(hall, 10)


def test_no_more_than_the_keeper_wishes_for(make_hall: MakeHall) -> None:
    hall = with_day(make_hall(2), 0, wishes=Wishes(most=1))
    answer = asked(plan_of(hall, [0], []), 30)
    assert [reason.rule for reason in answer.reasons] == ["wishes.performances"]
    assert moved(answer) == [(ORCHARD, "10:00", None)]
    assert answer.nearest is None


def test_an_unknown_stall_is_not_there(make_hall: MakeHall) -> None:
    plan = plan_of(make_hall(2), [], [])
    with pytest.raises(KeyError):
        asked(plan, 0, "The Tin Orchid")


def test_when_time_runs_out_the_reasons_are_told_all_the_same(make_hall: MakeHall) -> None:
    plan = plan_of(make_hall(2), [0], [30])
    moment = at(plan.hall, 30)
    answer = why_in_hall(plan.hall, plan, ORCHARD, moment, limit=0.0, monotonic=monotonic)
    assert [reason.rule for reason in answer.reasons] == ["together"]
    assert answer.nearest is None
