"""Why not then: everything that stands in the way, and what would have to move."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from time import monotonic
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Plan, QuietInterval, Signboard, Span, Where
from showtime.fair.budgets import Performances, Sounding
from showtime.fair.wishes import Busy, Fixed, Wish, Wishes
from showtime.planning import WhyNot, why_not

LONDON = ZoneInfo("Europe/London")
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
BELLS = Piece("Frost Bells", 5 * MINUTE)
DANCE = Piece("The Pear Dance", 20 * MINUTE)
FILE = Where("stall.yaml", 7, 3)


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-02-13T{clock}").replace(tzinfo=LONDON)


DAY = Day(
    signboard=Signboard("Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON),
    date=date(2027, 2, 13),
    hours=Span(at("10:00"), at("13:00")),
    pieces=(BELLS,),
    gap=5 * MINUTE,
    wishes=Wishes(start_on=5 * MINUTE),
)


def asked(day: Day, clock: str, *planned: str, piece: Piece | None = None) -> WhyNot:
    """Why not at `clock`, beside Frost Bells at these times?"""
    made = Plan(day, tuple(Performance(at(each), BELLS) for each in planned))
    return why_not(day, made, at(clock), piece, monotonic=monotonic)


def moved(answer: WhyNot) -> list[tuple[str, str, str | None]]:
    def clock(moment: datetime) -> str:
        return f"{moment.astimezone(LONDON):%H:%M}"

    return [
        (move.piece, clock(move.planned), clock(move.to) if move.to else None)
        for move in answer.moves
    ]


def test_what_is_planned_already_is_allowed_and_said_so() -> None:
    answer = asked(DAY, "11:00", "11:00")
    assert answer.allowed
    assert answer.reasons == answer.moves == ()
    assert answer.note == "Frost Bells is already planned at 11:00."


def test_what_is_planned_already_is_allowed_when_its_piece_is_named_too() -> None:
    assert asked(DAY, "11:00", "11:00", piece=BELLS).note.startswith("Frost Bells is already")


def test_what_fits_beside_the_plan_tells_what_the_wishes_gain_or_lose() -> None:
    answer = asked(DAY, "11:30", "10:00")
    assert answer.allowed
    assert answer.piece == "Frost Bells"
    assert answer.note == (
        "Frost Bells at 11:30 fits beside the plan as it is: "
        "performances worth 2 instead of 1, a mean wait of 45.0 min instead of 90.0."
    )


def test_a_neighbour_that_is_too_near_would_have_to_move_a_little() -> None:
    answer = asked(DAY, "11:00", "11:05", "12:00")
    assert not answer.allowed
    assert answer.possible
    assert [reason.rule for reason in answer.reasons] == ["gap"]
    assert answer.reasons[0].piece == "Frost Bells"
    assert moved(answer) == [("Frost Bells", "11:05", "11:10")]
    assert {change.wish for change in answer.changes} == {Wish.PERFORMANCES, Wish.WAIT}


def test_neighbours_on_both_sides_are_both_told_and_both_moved() -> None:
    answer = asked(DAY, "11:00", "10:55", "11:05")
    assert [reason.rule for reason in answer.reasons] == ["gap", "gap"]
    assert moved(answer) == [
        ("Frost Bells", "10:55", "10:50"),
        ("Frost Bells", "11:05", "11:10"),
    ]


def test_where_a_cap_has_no_room_one_has_to_go() -> None:
    day = replace(DAY, budgets=(Performances(2, where=FILE),))
    answer = asked(day, "12:00", "10:00", "11:00")
    assert [(reason.rule, reason.where) for reason in answer.reasons] == [("performances", FILE)]
    assert answer.possible
    assert len(answer.moves) == 1
    assert answer.moves[0].to is None


def test_the_wish_for_no_more_than_so_many_is_a_reason_of_its_own() -> None:
    day = replace(DAY, wishes=Wishes(most=2, most_where=FILE, start_on=5 * MINUTE))
    answer = asked(day, "12:00", "10:00", "11:00")
    (reason,) = answer.reasons
    assert (reason.rule, reason.where) == ("wishes.performances", FILE)
    assert reason.why == "2 performances are planned; no more than 2 are wished for"
    assert answer.possible
    assert [move.to for move in answer.moves] == [None]


TALK = QuietInterval("the moth lecture", Span(at("11:00"), at("11:30")), where=FILE)


def test_in_a_quiet_interval_nothing_that_moves_would_help() -> None:
    answer = asked(replace(DAY, quiet=(TALK,)), "11:10", "10:00")
    assert [(reason.rule, reason.where) for reason in answer.reasons] == [("quiet", FILE)]
    assert not answer.possible
    assert answer.moves == ()
    assert answer.note == ""


@pytest.mark.parametrize(
    ("clock", "rules"),
    [
        ("09:00", ["opens"]),
        ("12:58", ["closes", "grid"]),
        ("10:01", ["grid", "gap"]),
    ],
)
def test_the_clock_s_own_rules_are_all_told_and_cannot_be_moved(
    clock: str, rules: list[str]
) -> None:
    answer = asked(DAY, clock, "10:00")
    assert sorted(reason.rule for reason in answer.reasons) == sorted(rules)
    assert not answer.possible


def test_what_is_fixed_does_not_make_way() -> None:
    judges = Fixed(at("11:00"), "Frost Bells", "the judges come by")
    day = replace(DAY, wishes=Wishes(start_on=5 * MINUTE, fixed=(judges,)))
    answer = asked(day, "11:05", "11:00")
    assert [reason.rule for reason in answer.reasons] == ["gap"]
    assert not answer.possible
    assert "the judges come by" in answer.note


def test_every_rule_in_the_way_is_told_not_only_the_first() -> None:
    day = replace(DAY, quiet=(TALK,), budgets=(Performances(1, HOUR), Sounding(5 * MINUTE, HOUR)))
    answer = asked(day, "10:57", "10:55")
    assert {reason.rule for reason in answer.reasons} == {
        "grid",
        "quiet",
        "gap",
        "performances",
        "sounding",
    }


def test_without_a_piece_the_one_that_comes_closest_is_judged() -> None:
    day = replace(DAY, pieces=(DANCE, BELLS))
    fits = asked(day, "11:00", "10:50", "11:15")
    assert (fits.allowed, fits.piece) == (True, "Frost Bells")
    # Either needs the later one to move, and the bells less far.
    near = asked(day, "11:00", "10:50", "11:05")
    assert (near.allowed, near.piece) == (False, "Frost Bells")
    asked_for = asked(day, "11:00", "10:50", "11:15", piece=DANCE)
    assert (asked_for.allowed, asked_for.piece) == (False, "The Pear Dance")


def test_a_piece_that_some_move_makes_room_for_comes_closer_than_an_impossible_one() -> None:
    day = replace(DAY, pieces=(DANCE, BELLS))
    answer = asked(day, "12:55", "12:50")
    assert (answer.possible, answer.piece) == (True, "Frost Bells")


def test_moving_two_comes_closer_than_leaving_one_out() -> None:
    day = replace(DAY, pieces=(DANCE, BELLS), budgets=(Sounding(25 * MINUTE),))
    answer = asked(day, "11:00", "10:55", "11:05")
    assert answer.piece == "Frost Bells"
    assert all(move.to for move in answer.moves)
    one_goes = asked(day, "11:00", "10:55", "11:05", piece=DANCE)
    assert [move.to is None for move in one_goes.moves].count(True) == 1


def test_another_piece_at_a_planned_time_would_push_the_planned_one_away() -> None:
    day = replace(DAY, pieces=(DANCE, BELLS))
    answer = asked(day, "11:00", "11:00", piece=DANCE)
    assert [reason.rule for reason in answer.reasons] == ["gap"]
    assert moved(answer) == [("Frost Bells", "11:00", "10:50")]


def test_a_piece_of_another_day_cannot_be_made_possible() -> None:
    answer = asked(DAY, "12:00", "11:00", piece=Piece("The Copper Owl", MINUTE))
    assert [reason.rule for reason in answer.reasons] == ["piece"]
    assert not answer.possible


def test_what_the_plan_breaks_anyway_is_no_reason_against_another() -> None:
    day = replace(DAY, wishes=Wishes(start_on=5 * MINUTE, fixed=(Fixed(at("10:00")),)))
    assert asked(day, "12:00", "11:01").allowed


def test_a_busy_span_tells_what_moving_out_of_it_costs() -> None:
    busy = Busy(Span(at("11:05"), at("12:00")), 3)
    day = replace(DAY, wishes=Wishes(start_on=5 * MINUTE, busy=(busy,), most=1))
    answer = asked(day, "11:00", "11:30")
    assert "performances worth 1 instead of 3" in answer.note


def test_the_time_may_come_from_any_zone() -> None:
    tokyo = at("11:00").astimezone(ZoneInfo("Asia/Tokyo"))
    answer = why_not(DAY, Plan(DAY, (Performance(at("11:00"), BELLS),)), tokyo)
    assert answer.at == at("11:00")
    assert answer.note == "Frost Bells is already planned at 11:00."


def test_the_second_half_past_one_of_an_autumn_night_is_found_in_the_plan() -> None:
    hours = Span(
        datetime(2027, 10, 30, 22, tzinfo=LONDON), datetime(2027, 10, 31, 4, tzinfo=LONDON)
    )
    night = replace(DAY, date=date(2027, 10, 30), hours=hours)
    second = datetime(2027, 10, 31, 1, 30, fold=1, tzinfo=LONDON)
    answer = why_not(night, Plan(night, (Performance(second, BELLS),)), second)
    assert answer.note == "Frost Bells is already planned at 01:30 GMT."
