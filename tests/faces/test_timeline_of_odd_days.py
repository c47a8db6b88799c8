"""The bill of days that are long, short, late or crowded."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from rich.cells import cell_len

from showtime.fair import Day, Performance, Piece, Plan, QuietInterval, Span
from showtime.fair.wishes import Wishes

LONDON = ZoneInfo("Europe/London")
At = Callable[..., datetime]
Printed = Callable[..., list[str]]
LineWith = Callable[[str, Sequence[str]], str]
WithPerformances = Callable[..., Plan]
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)


def test_two_starts_within_one_column_are_not_lost(
    printed: Printed, line_with: LineWith, at: At, small_day: Day
) -> None:
    short = Piece("Tick", timedelta(seconds=30))
    day = replace(small_day, pieces=(short,), quiet=(), budgets=(), wishes=Wishes())
    pair = (Performance(at("10:30"), short), Performance(at("10:31"), short))
    assert "◈" in line_with("Tick  ", printed(Plan(day, pair)))


def test_a_day_past_midnight_counts_its_hours_on(
    printed: Printed, line_with: LineWith, at: At, small_day: Day, small_bells: Piece
) -> None:
    day = replace(small_day, hours=Span(at("21:00"), at("02:00", 14)), quiet=(), wishes=Wishes())
    late = Plan(day, (Performance(at("00:30", 14), small_bells),))
    lines = printed(late)
    assert line_with("21  ", lines).split() == ["21", "22", "23", "00", "01", "02"]
    assert "Sun 00:30  Frost Bells" in "\n".join(lines)


def test_an_hour_that_comes_twice_is_shown_twice(
    printed: Printed, line_with: LineWith, small_day: Day
) -> None:
    hours = Span(datetime(2027, 10, 31, 0, tzinfo=LONDON), datetime(2027, 10, 31, 4, tzinfo=LONDON))
    day = replace(small_day, date=date(2027, 10, 31), hours=hours, quiet=(), wishes=Wishes())
    lines = printed(Plan(day, ()))
    assert line_with("00   ", lines).split() == ["00", "01", "01", "02", "03", "04"]


def test_a_day_that_opens_off_the_hour_has_its_hours_where_they_belong(
    printed: Printed, line_with: LineWith, at: At, small_day: Day, small_plan: Plan
) -> None:
    day = replace(small_day, hours=Span(at("10:20"), at("14:50")), wishes=Wishes())
    lines = printed(replace(small_plan, day=day, performances=small_plan.performances[1:]))
    figures, dance = line_with("11   ", lines), line_with("The Pear Dance ", lines)
    assert figures.split() == ["11", "12", "13", "14"]
    assert dance[figures.index("14")] == "◆"


def test_a_very_long_and_a_very_short_day_fit_too(
    printed: Printed, line_with: LineWith, at: At, small_day: Day, small_plan: Plan
) -> None:
    for hours in (Span(at("10:00"), at("10:00", 14)), Span(at("10:00"), at("10:20"))):
        day = replace(small_day, hours=hours, quiet=(), wishes=Wishes())
        lines = printed(Plan(day, small_plan.performances[:1]))
        assert "◆" in line_with("Frost Bells", lines)
        assert max(cell_len(line) for line in lines) <= 80


def test_hours_too_narrow_for_all_their_figures_show_those_that_fit(
    printed: Printed, line_with: LineWith, at: At, small_day: Day
) -> None:
    hours = Span(at("10:00"), at("10:00", 14))
    day = replace(small_day, hours=hours, quiet=(), budgets=(), wishes=Wishes())
    figures = line_with("10 ", printed(Plan(day, ()), width=42)[5:])
    assert figures.split() == ["10", "13", "16", "19", "22", "01", "04", "07", "10"]


def test_what_lies_outside_the_open_hours_is_listed_and_not_drawn(
    printed: Printed,
    line_with: LineWith,
    with_performances: WithPerformances,
    at: At,
    small_bells: Piece,
) -> None:
    outside = (Performance(at("08:00"), small_bells), Performance(at("15:30"), small_bells))
    lines = printed(with_performances(*outside))
    assert "◆" not in line_with("Frost Bells", lines)
    assert "☞ 15:30  Frost Bells" in "\n".join(lines)


def test_more_reasons_than_letters_still_have_a_letter_each(
    printed: Printed, at: At, small_day: Day, small_plan: Plan
) -> None:
    many = tuple(
        QuietInterval(f"talk {n}", Span(at("10:00") + 9 * n * MINUTE, at("10:05") + 9 * n * MINUTE))
        for n in range(30)
    )
    text = "\n".join(printed(replace(small_plan, day=replace(small_day, quiet=many))))
    assert all(f"talk {n}: " in text for n in range(30))
