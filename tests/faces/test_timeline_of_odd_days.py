"""The bill of days that are long, short, late or crowded."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

from rich.cells import cell_len
from rich.console import Console

from showtime.faces.timeline import timeline
from showtime.fair import Day, Performance, Piece, Plan, QuietInterval, Signboard, Span
from showtime.fair.budgets import Performances
from showtime.fair.wishes import Fixed, Wishes

LONDON = ZoneInfo("Europe/London")
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
BELLS = Piece("Frost Bells", 5 * MINUTE, level_dba=74, heat_k=40, current_a=2)
DANCE = Piece("The Pear Dance", 10 * MINUTE, level_dba=78, heat_k=55, current_a=3)


def at(clock: str, day: int = 13) -> datetime:
    return datetime.fromisoformat(f"2027-02-{day}T{clock}").replace(tzinfo=LONDON)


DAY = Day(
    signboard=Signboard(
        "Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON
    ),
    date=date(2027, 2, 13),
    hours=Span(at("10:00"), at("15:00")),
    pieces=(BELLS, DANCE),
    quiet=(QuietInterval("the moth lecture", Span(at("12:00"), at("12:45"))),),
    budgets=(Performances(2, HOUR),),
    wishes=Wishes(start_on=5 * MINUTE, fixed=(Fixed(at("14:00"), "The Pear Dance"),)),
)
PLAN = Plan(
    DAY,
    (
        Performance(at("10:10"), BELLS),
        Performance(at("10:30"), DANCE),
        Performance(at("13:20"), BELLS),
        Performance(at("14:00"), DANCE),
    ),
)


def printed(plan: Plan = PLAN, width: int = 80) -> list[str]:
    """The lines as a pipe would get them."""
    page = StringIO()
    Console(file=page, width=width).print(timeline(plan, width, colour=False))
    return page.getvalue().splitlines()


def line_with(words: str, lines: Sequence[str]) -> str:
    return next(line for line in lines if words in line)


def with_performances(*performances: Performance) -> Plan:
    return replace(PLAN, performances=performances)


def test_two_starts_within_one_column_are_not_lost() -> None:
    short = Piece("Tick", timedelta(seconds=30))
    day = replace(DAY, pieces=(short,), quiet=(), budgets=(), wishes=Wishes())
    pair = (Performance(at("10:30"), short), Performance(at("10:31"), short))
    assert "◈" in line_with("Tick  ", printed(Plan(day, pair)))


def test_a_day_past_midnight_counts_its_hours_on() -> None:
    day = replace(DAY, hours=Span(at("21:00"), at("02:00", 14)), quiet=(), wishes=Wishes())
    late = Plan(day, (Performance(at("00:30", 14), BELLS),))
    lines = printed(late)
    assert line_with("21  ", lines).split() == ["21", "22", "23", "00", "01", "02"]
    assert "Sun 00:30  Frost Bells" in "\n".join(lines)


def test_an_hour_that_comes_twice_is_shown_twice() -> None:
    hours = Span(datetime(2027, 10, 31, 0, tzinfo=LONDON), datetime(2027, 10, 31, 4, tzinfo=LONDON))
    day = replace(DAY, date=date(2027, 10, 31), hours=hours, quiet=(), wishes=Wishes())
    lines = printed(Plan(day, ()))
    assert line_with("00   ", lines).split() == ["00", "01", "01", "02", "03", "04"]


def test_a_day_that_opens_off_the_hour_has_its_hours_where_they_belong() -> None:
    day = replace(DAY, hours=Span(at("10:20"), at("14:50")), wishes=Wishes())
    lines = printed(replace(PLAN, day=day, performances=PLAN.performances[1:]))
    figures, dance = line_with("11   ", lines), line_with("The Pear Dance ", lines)
    assert figures.split() == ["11", "12", "13", "14"]
    assert dance[figures.index("14")] == "◆"


def test_a_very_long_and_a_very_short_day_fit_too() -> None:
    for hours in (Span(at("10:00"), at("10:00", 14)), Span(at("10:00"), at("10:20"))):
        day = replace(DAY, hours=hours, quiet=(), wishes=Wishes())
        lines = printed(Plan(day, PLAN.performances[:1]))
        assert "◆" in line_with("Frost Bells", lines)
        assert max(cell_len(line) for line in lines) <= 80


def test_hours_too_narrow_for_all_their_figures_show_those_that_fit() -> None:
    hours = Span(at("10:00"), at("10:00", 14))
    day = replace(DAY, hours=hours, quiet=(), budgets=(), wishes=Wishes())
    figures = line_with("10 ", printed(Plan(day, ()), width=42)[5:])
    assert figures.split() == ["10", "13", "16", "19", "22", "01", "04", "07", "10"]


def test_what_lies_outside_the_open_hours_is_listed_and_not_drawn() -> None:
    outside = (Performance(at("08:00"), BELLS), Performance(at("15:30"), BELLS))
    lines = printed(with_performances(*outside))
    assert "◆" not in line_with("Frost Bells", lines)
    assert "☞ 15:30  Frost Bells" in "\n".join(lines)


def test_more_reasons_than_letters_still_have_a_letter_each() -> None:
    many = tuple(
        QuietInterval(f"talk {n}", Span(at("10:00") + 9 * n * MINUTE, at("10:05") + 9 * n * MINUTE))
        for n in range(30)
    )
    text = "\n".join(printed(replace(PLAN, day=replace(DAY, quiet=many))))
    assert all(f"talk {n}: " in text for n in range(30))
