"""The plan on the terminal: a bill that a person reads at a glance."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from io import BytesIO, StringIO, TextIOWrapper
from zoneinfo import ZoneInfo

import pytest
from rich.cells import cell_len
from rich.console import Console

from showtime.faces.timeline import timeline
from showtime.fair import Day, Performance, Piece, Plan
from showtime.fair.budgets import Performances, Sounding
from showtime.fair.wishes import Wishes

LONDON = ZoneInfo("Europe/London")
At = Callable[..., datetime]
Printed = Callable[..., list[str]]
LineWith = Callable[[str, Sequence[str]], str]
WithPerformances = Callable[..., Plan]
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)


def test_the_title_tells_who_plays_where_and_when(printed: Printed) -> None:
    head = "\n".join(printed()[:5])
    assert "T H E   T I N   O R C H A R D" in head
    assert "Barnaby Rook" in head
    assert "Osierholt Curiosity Fair" in head
    assert "Saturday 13 February 2027, open from 10:00 to 15:00" in head


def test_performances_stand_under_their_hours(printed: Printed, line_with: LineWith) -> None:
    # At 80 columns an hour has twelve of them: five minutes each.
    lines = printed()
    figures = line_with("10          11", lines)
    bells, dance = line_with("Frost Bells  ", lines), line_with("The Pear Dance ", lines)
    assert bells[figures.index("10") + 2] == "◆"
    assert dance[figures.index("10") + 6 : figures.index("10") + 8] == "◆━"
    assert dance[figures.index("14")] == "◆"
    assert bells.count("◆") == dance.count("◆") == 2


def test_quiet_intervals_are_hatched_with_their_margins_and_told_with_their_reasons(
    printed: Printed, line_with: LineWith
) -> None:
    lines = printed()
    figures = line_with("10          11", lines)
    quiet = line_with("nothing sounds", lines)
    noon = figures.index("12")
    assert quiet[noon - 2 : noon + 11].replace("a", "░") == " " + "░" * 11 + " "
    assert quiet.count("a") == 1
    assert quiet.count("b") == 2
    assert "a  the moth lecture: 12:00 to 12:45" in "\n".join(lines)
    assert "b  bandstand: 11:00 to 11:10, 13:00 to 13:10" in "\n".join(lines)


def test_every_cap_tells_how_full_it_gets_and_when(printed: Printed, line_with: LineWith) -> None:
    lines = printed()
    two = line_with("fair rule: at most 2 performances in any 60 min", lines)
    assert two.endswith(" 2 performances at 10:30")
    assert line_with("at most 20 min of sound", lines).endswith("15.0 min of sound at 10:40")
    assert line_with("at most 75 dBA", lines).endswith("dBA at 10:40")
    assert line_with("the motors stay", lines).endswith("°C at 10:40")
    assert line_with("in a day", lines).endswith(" 66 %, 4 performances by 14:00")
    assert line_with("the 10 Ah battery", lines).endswith("Ah by 15:00")


def test_a_cap_s_course_stands_under_the_hours_and_is_full_only_where_the_cap_is(
    printed: Printed, line_with: LineWith
) -> None:
    lines = printed()
    figures = line_with("10          11", lines)
    course = lines[lines.index(line_with("at most 2 performances", lines)) + 1]
    ten = figures.index("10")
    assert course[:ten].strip() == "100 %"
    # Full from the second start until the first is an hour past, and not before.
    full = [column - ten for column, mark in enumerate(course) if mark == "█"]
    assert full == [*range(6, 14), *range(48, 52)]
    assert course[ten + 2] == "▄"


def test_a_cap_that_is_nearly_full_does_not_look_full(
    printed: Printed, line_with: LineWith, small_day: Day, small_plan: Plan
) -> None:
    day = replace(small_day, budgets=(Sounding(timedelta(minutes=5, seconds=1), HOUR),))
    lines = printed(replace(small_plan, day=day, performances=small_plan.performances[:1]))
    course = lines[lines.index(line_with("of sound in any", lines)) + 1]
    assert "99 %" in course
    assert "▇" in course
    assert "█" not in course


def test_a_cap_that_is_hardly_used_does_not_look_unused(
    printed: Printed, line_with: LineWith, small_day: Day, small_plan: Plan
) -> None:
    day = replace(small_day, budgets=(Performances(50, HOUR),))
    lines = printed(replace(small_plan, day=day, performances=small_plan.performances[:1]))
    course = lines[lines.index(line_with("50 performances in any", lines)) + 1]
    assert course[15:].count("▁") == 12


def test_a_level_that_nothing_has_raised_tells_no_time(
    printed: Printed, line_with: LineWith, with_performances: WithPerformances
) -> None:
    lines = printed(with_performances())
    assert line_with("the motors stay", lines).endswith(" 29.0 °C")
    assert line_with("at most 75 dBA", lines).endswith(" no sound")


def test_the_programme_lists_each_performance_with_the_wait_before_it(printed: Printed) -> None:
    text = "\n".join(printed())
    assert "4 performances, each with the wait before it" in text
    assert "☞ 10:10  Frost Bells ........... 10 min" in text
    assert "☞ 10:30  The Pear Dance ........ 20 min" in text
    assert "☞ 13:20  Frost Bells .......... 170 min" in text
    assert "☞ 14:00  The Pear Dance, fixed . 40 min" in text


def test_the_list_reads_downwards_and_gets_more_columns_on_a_wide_terminal(
    printed: Printed,
) -> None:
    def rows(width: int) -> list[str]:
        return [line for line in printed(width=width) if "☞" in line]

    assert len(rows(60)) == 4
    assert len(rows(80)) == 2
    assert rows(80)[0].index("10:10") < rows(80)[0].index("13:20")
    assert len(rows(160)) == 1


def test_what_is_proven_is_told_apart_from_what_is_not(printed: Printed) -> None:
    text = "\n".join(printed())
    assert "A visitor waits 57.7 min on the mean and 170 min at worst." in text
    assert "Proven, none better is allowed: performances." in text
    assert "Not proven in the time it had, better may exist: short waits." in text


def test_the_small_print_says_that_these_are_estimates(printed: Printed) -> None:
    assert "estimates" in printed()[-1]


@pytest.mark.parametrize("width", [40, 61, 80, 100, 120, 200])
def test_no_line_is_wider_than_the_terminal(
    width: int, printed: Printed, line_with: LineWith
) -> None:
    lines = printed(width=width)
    assert max(cell_len(line) for line in lines) <= width
    assert line_with("Frost Bells", lines).count("◆") >= 1


def test_a_day_with_no_performance_says_so(
    printed: Printed, with_performances: WithPerformances
) -> None:
    text = "\n".join(printed(with_performances()))
    assert "No performance fits this day." in text
    assert "A visitor waits 150 min on the mean and 300 min at worst." in text


def test_a_bare_day_shows_no_empty_headings(
    printed: Printed, small_day: Day, small_plan: Plan
) -> None:
    bare = replace(small_day, quiet=(), budgets=(), wishes=Wishes())
    text = "\n".join(printed(replace(small_plan, day=bare)))
    assert "nothing sounds" not in text
    assert "How full" not in text


def test_names_are_shown_as_they_are_written(
    printed: Printed, line_with: LineWith, at: At, small_day: Day
) -> None:
    odd = Piece("[bold]Ö 鈴 :smile:", 5 * MINUTE)
    day = replace(small_day, pieces=(odd,), wishes=Wishes())
    lines = printed(Plan(day, (Performance(at("10:10"), odd),)))
    assert "[bold]Ö 鈴 :smile:" in line_with("☞", lines)
    assert line_with("[bold]Ö 鈴", lines).index("◆") > 0
    assert max(cell_len(line) for line in lines) <= 80


def test_a_terminal_that_cannot_write_utf_8_gets_ascii(
    line_with: LineWith,
    at: At,
    small_day: Day,
    small_plan: Plan,
    small_bells: Piece,
    small_dance: Piece,
) -> None:
    brass = replace(small_bells, name="Öster Bells")
    day = replace(small_day, pieces=(brass, small_dance))
    plan = replace(small_plan, day=day, performances=(Performance(at("10:10"), brass),))
    page = BytesIO()
    file = TextIOWrapper(page, encoding="ascii")
    Console(file=file, width=80).print(timeline(plan, 80, colour=False))
    file.flush()
    lines = page.getvalue().decode("ascii").splitlines()
    assert "X" in line_with("Oster Bells", lines)
    assert "> 10:10  Oster Bells ...." in line_with("> 10:10", lines)
    assert line_with("the motors", lines).endswith("C at 10:15")
    assert {len(line_with(words, lines)) for words in ("the motors", "fair rule")} == {80}


def coloured(colour: bool, small_plan: Plan) -> str:
    page = StringIO()
    console = Console(file=page, width=80, force_terminal=True, color_system="256")
    console.print(timeline(small_plan, 80, colour=colour))
    return page.getvalue()


def test_a_full_cap_is_printed_in_another_ink_than_a_roomy_one(
    line_with: LineWith, small_plan: Plan
) -> None:
    lines = coloured(True, small_plan).splitlines()
    full = line_with("at most 2 performances", lines).split("\x1b[")[-2]
    roomy = line_with("Ah by", lines).split("\x1b[")[-2]
    assert full.endswith("2 performances at 10:30")
    assert full.split("m")[0] != roomy.split("m")[0]


def test_without_colour_there_is_no_escape_at_all(small_plan: Plan) -> None:
    assert "\x1b" in coloured(True, small_plan)
    assert "\x1b" not in coloured(False, small_plan)


def test_without_colour_it_says_the_same(small_plan: Plan) -> None:
    from rich.text import Text

    assert (
        Text.from_ansi(coloured(True, small_plan)).plain.rstrip()
        == coloured(False, small_plan).rstrip()
    )
