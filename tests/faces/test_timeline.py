"""The plan on the terminal: a bill that a person reads at a glance."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from io import BytesIO, StringIO, TextIOWrapper
from zoneinfo import ZoneInfo

import pytest
from rich.cells import cell_len
from rich.console import Console

from showtime.faces.timeline import timeline
from showtime.fair import Day, Performance, Piece, Plan, QuietInterval, Signboard, Span
from showtime.fair.budgets import Battery, Heat, Neighbour, Noise, Performances, Sounding
from showtime.fair.wishes import Fixed, Level, Wish, Wishes

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
    quiet=(
        QuietInterval("the moth lecture", Span(at("12:00"), at("12:45")), 5 * MINUTE),
        QuietInterval("bandstand", Span(at("11:00"), at("11:10"))),
        QuietInterval("bandstand", Span(at("13:00"), at("13:10"))),
    ),
    budgets=(
        Performances(2, HOUR, because="fair rule"),
        Sounding(20 * MINUTE, HOUR),
        Noise(75, Neighbour("The Lantern Cart", 3), HOUR),
        Heat(25 * MINUTE, ambient_c=21, hold_k=8, limit_c=45),
        Battery(capacity_ah=10, keep=0.2, idle_a=0.4),
        Performances(6),
    ),
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
    (Level(Wish.PERFORMANCES, 4, proven=True), Level(Wish.WAIT, 40.5, proven=False)),
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


def test_the_title_tells_who_plays_where_and_when() -> None:
    head = "\n".join(printed()[:5])
    assert "T H E   T I N   O R C H A R D" in head
    assert "Barnaby Rook" in head
    assert "Osierholt Curiosity Fair" in head
    assert "Saturday 13 February 2027, open from 10:00 to 15:00" in head


def test_performances_stand_under_their_hours() -> None:
    # At 80 columns an hour has twelve of them: five minutes each.
    lines = printed()
    figures = line_with("10          11", lines)
    bells, dance = line_with("Frost Bells  ", lines), line_with("The Pear Dance ", lines)
    assert bells[figures.index("10") + 2] == "◆"
    assert dance[figures.index("10") + 6 : figures.index("10") + 8] == "◆━"
    assert dance[figures.index("14")] == "◆"
    assert bells.count("◆") == dance.count("◆") == 2


def test_quiet_intervals_are_hatched_with_their_margins_and_told_with_their_reasons() -> None:
    lines = printed()
    figures = line_with("10          11", lines)
    quiet = line_with("nothing sounds", lines)
    noon = figures.index("12")
    assert quiet[noon - 2 : noon + 11].replace("a", "░") == " " + "░" * 11 + " "
    assert quiet.count("a") == 1
    assert quiet.count("b") == 2
    assert "a  the moth lecture: 12:00 to 12:45" in "\n".join(lines)
    assert "b  bandstand: 11:00 to 11:10, 13:00 to 13:10" in "\n".join(lines)


def test_every_cap_tells_how_full_it_gets_and_when() -> None:
    lines = printed()
    two = line_with("fair rule: at most 2 performances in any 60 min", lines)
    assert two.endswith(" 2 performances at 10:30")
    assert line_with("at most 20 min of sound", lines).endswith("15.0 min of sound at 10:40")
    assert line_with("at most 75 dBA", lines).endswith("dBA at 10:40")
    assert line_with("the motors stay", lines).endswith("°C at 10:40")
    assert line_with("in a day", lines).endswith(" 66 %, 4 performances by 14:00")
    assert line_with("the 10 Ah battery", lines).endswith("Ah by 15:00")


def test_a_cap_s_course_stands_under_the_hours_and_is_full_only_where_the_cap_is() -> None:
    lines = printed()
    figures = line_with("10          11", lines)
    course = lines[lines.index(line_with("at most 2 performances", lines)) + 1]
    ten = figures.index("10")
    assert course[:ten].strip() == "100 %"
    # Full from the second start until the first is an hour past, and not before.
    full = [column - ten for column, mark in enumerate(course) if mark == "█"]
    assert full == [*range(6, 14), *range(48, 52)]
    assert course[ten + 2] == "▄"


def test_a_cap_that_is_nearly_full_does_not_look_full() -> None:
    day = replace(DAY, budgets=(Sounding(timedelta(minutes=5, seconds=1), HOUR),))
    lines = printed(replace(PLAN, day=day, performances=PLAN.performances[:1]))
    course = lines[lines.index(line_with("of sound in any", lines)) + 1]
    assert "99 %" in course
    assert "▇" in course
    assert "█" not in course


def test_a_cap_that_is_hardly_used_does_not_look_unused() -> None:
    day = replace(DAY, budgets=(Performances(50, HOUR),))
    lines = printed(replace(PLAN, day=day, performances=PLAN.performances[:1]))
    course = lines[lines.index(line_with("50 performances in any", lines)) + 1]
    assert course[15:].count("▁") == 12


def test_a_level_that_nothing_has_raised_tells_no_time() -> None:
    lines = printed(with_performances())
    assert line_with("the motors stay", lines).endswith(" 29.0 °C")
    assert line_with("at most 75 dBA", lines).endswith(" no sound")


def test_the_programme_lists_each_performance_with_the_wait_before_it() -> None:
    text = "\n".join(printed())
    assert "4 performances, each with the wait before it" in text
    assert "☞ 10:10  Frost Bells ........... 10 min" in text
    assert "☞ 10:30  The Pear Dance ........ 20 min" in text
    assert "☞ 13:20  Frost Bells .......... 170 min" in text
    assert "☞ 14:00  The Pear Dance, fixed . 40 min" in text


def test_the_list_reads_downwards_and_gets_more_columns_on_a_wide_terminal() -> None:
    def rows(width: int) -> list[str]:
        return [line for line in printed(width=width) if "☞" in line]

    assert len(rows(60)) == 4
    assert len(rows(80)) == 2
    assert rows(80)[0].index("10:10") < rows(80)[0].index("13:20")
    assert len(rows(160)) == 1


def test_what_is_proven_is_told_apart_from_what_is_not() -> None:
    text = "\n".join(printed())
    assert "A visitor waits 57.7 min on the mean and 170 min at worst." in text
    assert "Proven, none better is allowed: performances." in text
    assert "Not proven in the time it had, better may exist: short waits." in text


def test_the_small_print_says_that_these_are_estimates() -> None:
    assert "estimates" in printed()[-1]


@pytest.mark.parametrize("width", [40, 61, 80, 100, 120, 200])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    lines = printed(width=width)
    assert max(cell_len(line) for line in lines) <= width
    assert line_with("Frost Bells", lines).count("◆") >= 1


def test_a_day_with_no_performance_says_so() -> None:
    text = "\n".join(printed(with_performances()))
    assert "No performance fits this day." in text
    assert "A visitor waits 150 min on the mean and 300 min at worst." in text


def test_a_bare_day_shows_no_empty_headings() -> None:
    bare = replace(DAY, quiet=(), budgets=(), wishes=Wishes())
    text = "\n".join(printed(replace(PLAN, day=bare)))
    assert "nothing sounds" not in text
    assert "How full" not in text


def test_names_are_shown_as_they_are_written() -> None:
    odd = Piece("[bold]Ö 鈴 :smile:", 5 * MINUTE)
    day = replace(DAY, pieces=(odd,), wishes=Wishes())
    lines = printed(Plan(day, (Performance(at("10:10"), odd),)))
    assert "[bold]Ö 鈴 :smile:" in line_with("☞", lines)
    assert line_with("[bold]Ö 鈴", lines).index("◆") > 0
    assert max(cell_len(line) for line in lines) <= 80


def test_a_terminal_that_cannot_write_utf_8_gets_ascii() -> None:
    brass = replace(BELLS, name="Öster Bells")
    day = replace(DAY, pieces=(brass, DANCE))
    plan = replace(PLAN, day=day, performances=(Performance(at("10:10"), brass),))
    page = BytesIO()
    file = TextIOWrapper(page, encoding="ascii")
    Console(file=file, width=80).print(timeline(plan, 80, colour=False))
    file.flush()
    lines = page.getvalue().decode("ascii").splitlines()
    assert "X" in line_with("Oster Bells", lines)
    assert "> 10:10  Oster Bells ...." in line_with("> 10:10", lines)
    assert line_with("the motors", lines).endswith("C at 10:15")
    assert {len(line_with(words, lines)) for words in ("the motors", "fair rule")} == {80}


def coloured(colour: bool) -> str:
    page = StringIO()
    console = Console(file=page, width=80, force_terminal=True, color_system="256")
    console.print(timeline(PLAN, 80, colour=colour))
    return page.getvalue()


def test_a_full_cap_is_printed_in_another_ink_than_a_roomy_one() -> None:
    lines = coloured(True).splitlines()
    full = line_with("at most 2 performances", lines).split("\x1b[")[-2]
    roomy = line_with("Ah by", lines).split("\x1b[")[-2]
    assert full.endswith("2 performances at 10:30")
    assert full.split("m")[0] != roomy.split("m")[0]


def test_without_colour_there_is_no_escape_at_all() -> None:
    assert "\x1b" in coloured(True)
    assert "\x1b" not in coloured(False)


def test_without_colour_it_says_the_same() -> None:
    from rich.text import Text

    assert Text.from_ansi(coloured(True)).plain.rstrip() == coloured(False).rstrip()
