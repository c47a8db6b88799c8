"""What each stall is handed: its own times, and when it must be silent for the others' sake."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from random import Random

from showtime.fair import Answers, Performance, Piece, Span
from showtime.fair.hall import HallDay, HallPlan, Together
from showtime.planning.hall import broken_in_hall, handouts

MINUTE = timedelta(minutes=1)
SLOT = timedelta(seconds=30)
Lists = tuple[tuple[Performance, ...], ...]


def plan_of(hall: HallDay, *starts: list[float]) -> HallPlan:
    lists = tuple(
        tuple(Performance(hall.hours.start + at * MINUTE, day.pieces[0]) for at in mine)
        for day, mine in zip(hall.days, starts, strict=True)
    )
    return HallPlan(hall, lists, tuple(10 for _ in lists))


def told(plan: HallPlan, number: int) -> list[tuple[str, str, str]]:
    """Why, from when, until when."""
    local = plan.hall.local
    return [
        (quiet.why, f"{local(quiet.span.start):%H:%M}", f"{local(quiet.span.end):%H:%M}")
        for quiet in handouts(plan)[number].quiet
    ]


def test_each_stall_gets_its_own_performances(make_hall: Callable[..., HallDay]) -> None:
    plan = plan_of(make_hall(3), [0, 30], [10], [])
    assert [each.stall for each in handouts(plan)] == list(plan.hall.names)
    assert tuple(each.performances for each in handouts(plan)) == plan.performances
    assert {each.date for each in handouts(plan)} == {plan.hall.date}


def test_a_stall_is_silent_while_a_near_one_plays(make_hall: Callable[..., HallDay]) -> None:
    plan = plan_of(make_hall(3, together=(Together(1, 3),)), [0, 30], [10], [])
    assert told(plan, 1) == [
        ("a performance at The Tin Orchard", "10:00", "10:05"),
        ("a performance at The Tin Orchard", "10:30", "10:35"),
    ]
    assert told(plan, 2) == [("a performance at The Lantern Cart", "10:10", "10:15")]


def test_what_touches_is_one_silence_that_names_all(make_hall: Callable[..., HallDay]) -> None:
    plan = plan_of(make_hall(3), [0, 10], [5], [])
    assert told(plan, 2) == [
        ("performances at The Tin Orchard and The Lantern Cart", "10:00", "10:15")
    ]


def test_one_more_may_sound_until_there_are_enough(make_hall: Callable[..., HallDay]) -> None:
    plan = plan_of(make_hall(3, together=(Together(2),)), [0], [0, 20], [])
    assert told(plan, 2) == [
        ("performances at The Tin Orchard and The Lantern Cart", "10:00", "10:05")
    ]
    assert told(plan, 0) == []


def test_many_are_counted_rather_than_named(make_hall: Callable[..., HallDay]) -> None:
    plan = plan_of(make_hall(7, together=(Together(6),)), *[[0]] * 6, [])
    ((why, _, _),) = told(plan, 6)
    assert why == ("performances at The Tin Orchard, The Lantern Cart, The Moth Waltz and 3 more")


def test_a_closed_stall_needs_no_silence(make_hall: Callable[..., HallDay]) -> None:
    hall = make_hall(2, pieces=(Piece("Long", 20 * MINUTE, level_dba=70),))
    hours = Span(hall.hours.start + 10 * MINUTE, hall.hours.end)
    hall = replace(hall, days=(hall.days[0], replace(hall.days[1], hours=hours)))
    assert told(plan_of(hall, [0], []), 1) == [
        ("a performance at The Tin Orchard", "10:10", "10:20")
    ]


def test_questions_are_answered_softly_meanwhile(make_hall: Callable[..., HallDay]) -> None:
    (quiet,) = handouts(plan_of(make_hall(2), [0], []))[1].quiet
    assert quiet.answers is Answers.SOFTLY


def must_be_silent(hall: HallDay, lists: Lists, number: int, slot: datetime) -> bool:
    """Whether half a minute of sound there would make too many."""
    probe = Performance(slot, Piece("half a minute", SLOT))
    beside = [tuple(one for one in given if one.span.meets(probe.span)) for given in lists]
    beside[number] = (probe,)
    return any(each.rule == "together" for each in broken_in_hall(hall, beside))


def test_of_random_plans_just_the_forbidden_times_are_silent(
    random_hall: Callable[..., HallDay], crammed: Callable[..., Lists], full: bool
) -> None:
    dice = Random(820)
    silent = 0
    for _ in range(60 if full else 8):
        hall = random_hall(dice, (2, 6), (60, 90))
        lists = crammed(dice, hall, 25)
        plan = HallPlan(hall, lists, tuple(1 for _ in lists))
        days = tuple(replace(day, budgets=(), quiet=()) for day in hall.days)
        bare = replace(hall, days=days, noise=())
        for number, handed in enumerate(handouts(plan)):
            hours = hall.days[number].hours
            for slot in range(hours.length // SLOT):
                at = hours.start + slot * SLOT
                inside = any(quiet.span.holds(at) for quiet in handed.quiet)
                assert inside == must_be_silent(bare, lists, number, at)
                silent += inside
            for one, two in zip(handed.quiet, handed.quiet[1:], strict=False):
                assert one.span.end < two.span.start
            assert not any(
                own.span.meets(quiet.span) for own in lists[number] for quiet in handed.quiet
            )
    assert silent > 50
