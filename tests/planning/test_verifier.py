"""Each rule of a valid plan, on both sides of its edge."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, QuietInterval, Signboard, Span, Where
from showtime.fair.budgets import Battery, Performances, Sounding
from showtime.fair.wishes import Fixed, Wishes
from showtime.planning.verifier import broken

LONDON = ZoneInfo("Europe/London")
SECOND = timedelta(seconds=1)
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
BELLS = Piece("Frost Bells", 5 * MINUTE, reset=2 * MINUTE, level_dba=70, heat_k=40, current_a=3)
DANCE = Piece("The Pear Dance", 10 * MINUTE, reset=8 * MINUTE, level_dba=70, heat_k=40)
FILE = Where("stall.yaml", 7, 3)


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-02-13T{clock}").replace(tzinfo=LONDON)


def bells(*clocks: str) -> list[Performance]:
    return [Performance(at(clock), BELLS) for clock in clocks]


def dances(*clocks: str) -> list[Performance]:
    return [Performance(at(clock), DANCE) for clock in clocks]


DAY = Day(
    signboard=Signboard("Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON),
    date=date(2027, 2, 13),
    hours=Span(at("10:00"), at("17:00")),
    pieces=(BELLS, DANCE),
    gap=6 * MINUTE,
    wishes=Wishes(start_on=SECOND),
)


def rules(day: Day, performances: list[Performance]) -> list[str]:
    return [each.rule for each in broken(day, performances)]


def test_an_empty_day_breaks_nothing() -> None:
    assert broken(DAY, []) == ()


def test_the_first_may_start_at_opening_and_the_last_end_at_closing() -> None:
    assert broken(DAY, bells("10:00", "16:55")) == ()


def test_a_second_before_opening_is_too_early() -> None:
    (early,) = broken(replace(DAY, where=FILE), bells("09:59:59"))
    assert early.rule == "opens"
    assert early.at == at("09:59:59")
    assert early.where == FILE
    assert early.why == "Frost Bells at 09:59:59 starts before opening at 10:00"


def test_a_second_past_closing_is_too_late() -> None:
    (late,) = broken(DAY, bells("16:55:01"))
    assert late.rule == "closes"
    assert late.why == "Frost Bells at 16:55:01 ends at 17:00:01, after closing at 17:00"


def test_another_days_performances_spend_nothing_of_this_days_battery() -> None:
    day = replace(DAY, budgets=(Battery(capacity_ah=10, keep=0, idle_a=1),))
    elsewhere = [Performance(datetime(2026, 2, 13, 12, tzinfo=LONDON), BELLS)]
    later = [Performance(datetime(2031, 2, 13, 12, tzinfo=LONDON), BELLS)] * 2
    found = broken(day, later + elsewhere)
    assert [each.rule for each in found] == ["opens", "closes", "closes"]
    assert found[0].why == "Frost Bells at 2026-02-13 12:00 UTC is not on 2027-02-13"


@pytest.mark.parametrize(
    ("start_on", "fine", "off"),
    [
        (5 * MINUTE, "14:35", "14:36"),
        (5 * MINUTE, "14:35", "14:35:00.000001"),
        (7 * MINUTE, "14:56", "14:03"),
        (7 * MINUTE, "15:00", "15:03"),
        (60 * MINUTE, "15:00", "15:30"),
        (30 * SECOND, "15:00:30", "15:00:31"),
    ],
)
def test_starts_fall_on_the_grid_that_begins_anew_each_hour(
    start_on: timedelta, fine: str, off: str
) -> None:
    day = replace(DAY, wishes=Wishes(start_on=start_on))
    assert broken(day, bells(fine)) == ()
    assert rules(day, bells(off)) == ["grid"]


LUNCH = QuietInterval("lunch", Span(at("13:00"), at("13:30")), margin=2 * MINUTE, where=FILE)


def test_sound_may_end_and_begin_exactly_at_the_margins_of_a_quiet_interval() -> None:
    assert broken(replace(DAY, quiet=(LUNCH,)), bells("12:53", "13:32")) == ()


@pytest.mark.parametrize("clock", ["12:53:01", "13:31:59", "13:10"])
def test_a_second_within_the_margin_of_a_quiet_interval_is_not_quiet(clock: str) -> None:
    (loud,) = broken(replace(DAY, quiet=(LUNCH,)), bells(clock))
    assert (loud.rule, loud.at, loud.where) == ("quiet", at(clock), FILE)
    assert "lunch, 13:00 to 13:30 with 2 min on both sides" in loud.why


def test_a_quiet_interval_shorter_than_a_piece_is_not_jumped_over() -> None:
    bow = QuietInterval("a bow", Span(at("12:01"), at("12:02")))
    assert rules(replace(DAY, quiet=(bow,)), bells("12:00")) == ["quiet"]


def test_the_gap_counts_from_the_end_to_the_next_start() -> None:
    assert broken(DAY, bells("10:00", "10:11")) == ()
    (close,) = broken(DAY, bells("10:00", "10:10:59"))
    assert (close.rule, close.at) == ("gap", at("10:10:59"))
    assert "5 min 59 s after Frost Bells at 10:00 ends; the gap is at least 6 min" in close.why


def test_a_piece_that_resets_for_longer_than_the_gap_needs_all_of_it() -> None:
    resetting = replace(DANCE, where=FILE)
    day = replace(DAY, pieces=(BELLS, resetting))
    first = Performance(at("10:00"), resetting)
    assert broken(day, [first, *bells("10:18")]) == ()
    (close,) = broken(day, [first, *bells("10:17:59")])
    assert close.rule == "gap"
    assert close.where == FILE
    assert "The Pear Dance's reset is at least 8 min" in close.why


def test_the_reset_before_a_performance_is_that_of_the_piece_before_it() -> None:
    assert broken(DAY, [*bells("10:00"), *dances("10:11")]) == ()


def test_two_at_once_break_the_gap_even_where_none_is_asked_for() -> None:
    day = replace(DAY, gap=timedelta(0), pieces=(replace(BELLS, reset=timedelta(0)),))
    piece = day.pieces[0]
    touching = [Performance(at("10:00"), piece), Performance(at("10:05"), piece)]
    assert broken(day, touching) == ()
    (both,) = broken(day, [touching[0], Performance(at("10:04:59"), piece)])
    assert both.rule == "gap"
    assert "starts while Frost Bells at 10:00 sounds until 10:05" in both.why


def test_a_short_performance_within_a_long_one_does_not_hide_the_long_one() -> None:
    long = Performance(at("10:00"), DANCE)
    found = broken(DAY, [long, *bells("10:01", "10:17")])
    assert [(each.rule, each.at) for each in found] == [
        ("gap", at("10:01")),
        ("gap", at("10:17")),
    ]


def test_a_long_reset_outlasts_a_later_end() -> None:
    slow = replace(DANCE, reset=20 * MINUTE)
    day = replace(DAY, pieces=(BELLS, slow))
    found = broken(day, [Performance(at("10:00"), slow), *bells("10:08", "10:20")])
    assert "starts 10 min after The Pear Dance at 10:00 ends" in found[-1].why


def test_the_gap_is_named_where_the_reset_is_as_long_and_touching_is_not_at_once() -> None:
    alike = replace(BELLS, reset=6 * MINUTE, where=FILE)
    day = replace(DAY, pieces=(alike,))
    (close,) = broken(day, [Performance(at(clock), alike) for clock in ("10:00", "10:05")])
    assert close.where is None
    assert close.why == (
        "Frost Bells at 10:05 starts 0 s after Frost Bells at 10:00 ends; the gap is at least 6 min"
    )


def test_the_same_performance_twice_is_two_at_once() -> None:
    assert rules(DAY, bells("12:00", "12:00")) == ["gap"]


def test_a_piece_that_nobody_knows_is_named() -> None:
    stranger = Piece("The Copper Owl", MINUTE)
    (unknown,) = broken(DAY, [Performance(at("12:00"), stranger)])
    assert (unknown.rule, unknown.at) == ("piece", at("12:00"))
    assert "The Copper Owl" in unknown.why


def test_a_piece_that_is_shorter_than_it_really_is_does_not_pass() -> None:
    clipped = replace(BELLS, lasts=MINUTE)
    assert rules(DAY, [Performance(at("12:00"), clipped)]) == ["piece"]


def fixed(piece: str | None) -> Day:
    judges = Fixed(at("15:30"), piece, "the judges come by", where=FILE)
    return replace(DAY, wishes=Wishes(start_on=MINUTE, fixed=(judges,)))


def test_what_is_fixed_is_there() -> None:
    assert broken(fixed("Frost Bells"), bells("15:30")) == ()
    (missing,) = broken(fixed("Frost Bells"), bells("15:31"))
    assert (missing.rule, missing.at, missing.where) == ("fixed", at("15:30"), FILE)
    assert missing.why == "Frost Bells is fixed for 15:30 (the judges come by) but not planned"


def test_another_piece_does_not_stand_in_for_the_fixed_one_unless_any_may() -> None:
    (other,) = broken(fixed("Frost Bells"), dances("15:30"))
    assert other.rule == "fixed"
    assert other.why.endswith("The Pear Dance is there instead")
    assert broken(fixed(None), dances("15:30")) == ()


def test_the_wish_for_no_more_than_so_many_is_not_judged() -> None:
    day = replace(DAY, wishes=Wishes(most=1, start_on=MINUTE))
    assert broken(day, bells("10:00", "12:00", "14:00")) == ()


def test_everything_is_told_in_order_of_time_whatever_the_order_of_the_list() -> None:
    day = replace(DAY, budgets=(Performances(2, HOUR), Sounding(12 * MINUTE, HOUR)))
    jumbled = bells("16:58", "10:08", "10:00", "10:30", "09:50", "12:00")
    found = broken(day, jumbled)
    assert found == broken(day, sorted(jumbled, key=lambda each: each.starts))
    assert [each.at for each in found] == sorted(each.at for each in found)
    assert {each.rule for each in found} == {"opens", "closes", "gap", "performances", "sounding"}
