"""The joint plan on the organiser's terminal, wide or narrow, in colour or through a pipe."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO, StringIO, TextIOWrapper

import pytest
from rich.cells import cell_len
from rich.console import Console

from showtime.faces.hall import Joint
from showtime.faces.hall.programme import Programme
from showtime.faces.hall.words import fairness, level_proof, listed, percent
from showtime.fair.hall import HallDay, HallLevel, HallPlan, HallWish


def lines_of(plan: HallPlan, width: int = 100) -> list[str]:
    page = StringIO()
    Console(file=page, width=width).print(Programme(plan, width, colour=False))
    return page.getvalue().splitlines()


@pytest.mark.parametrize("width", [40, 60, 80, 132, 200])
@pytest.mark.parametrize("which", ["eight", "sixty", "odd"])
def test_no_line_is_wider_than_the_terminal(
    which: str, width: int, request: pytest.FixtureRequest
) -> None:
    found: Joint = request.getfixturevalue(which)
    assert max(cell_len(line) for line in lines_of(found.plan, width)) <= width


def test_every_stall_has_a_strip_with_its_share(eight: Joint) -> None:
    lines = lines_of(eight.plan)
    for name, given, alone, share in zip(
        eight.hall.names, eight.plan.performances, eight.plan.alone, eight.plan.shares, strict=True
    ):
        (strip,) = [line for line in lines if line.startswith(name[:18]) and "%" in line]
        assert strip.endswith(percent(share))
        assert f"{len(given)} of {alone}" in strip
        assert strip.count("◆") + 2 * strip.count("◈") == len(given)


def test_the_strip_is_shaded_only_where_the_stall_must_be_silent_or_is_closed(
    sixty: Joint,
) -> None:
    """The second stall has no quiet times; every fourth has its lunch."""
    strips = [line for line in lines_of(sixty.plan, 79) if "Stall of Wond" in line and "%" in line]
    assert "░" in strips[0] and "░" not in strips[1]


def test_every_start_is_told_by_the_clock(eight: Joint) -> None:
    told = " ".join(" ".join(lines_of(eight.plan)).split())
    for moment, those in eight.by_time:
        names = ", ".join(eight.hall.names[number] for number, _ in those)
        assert f"{eight.hall.local(moment):%H:%M} {names}" in told


def test_it_is_told_what_is_proven_and_how_near_the_rest_is(eight: Joint) -> None:
    told = " ".join(lines_of(eight.plan))
    assert "The smallest share: 50 %, proven" in told
    assert "Total worth: 143, within 1.4 % of the best possible" in told
    assert "Smallest share" in told and "Jain's index" in told
    assert "estimates" in told


def test_nearness_is_never_told_better_than_it_is() -> None:
    def proof(value: float, bound: float) -> str:
        return level_proof(HallLevel(HallWish.WORTH, value, bound))

    assert proof(100, 100) == "proven"
    assert proof(99, 100) == "within 1 % of the best possible"
    assert proof(98.69, 100) == "within 1.4 % of the best possible"
    assert proof(99.9999, 100) == "within 0.1 % of the best possible"
    ranks = HallLevel(HallWish.ROUND_TIMES, 207, 0)
    assert level_proof(ranks) == "not proven; less than 0 is impossible"


def test_only_a_whole_share_reads_a_hundred() -> None:
    assert percent(0.9999) == "99 %"
    assert percent(1.0) == "100 %"
    assert percent(0.29) == "29 %"


def test_those_with_the_least_are_named(eight: Joint) -> None:
    equal = replace(eight.plan, alone=tuple(len(each) for each in eight.plan.performances))
    assert "Smallest share 100 % (every stall)" in fairness(equal)
    assert "(The Weather Cabinet)" in fairness(eight.plan)


def test_long_lists_are_cut() -> None:
    assert listed(["a"], 3) == "a"
    assert listed(["a", "b", "c"], 3) == "a, b and c"
    assert listed(["a", "b", "c", "d"], 3) == "a, b and 2 more"


def test_a_terminal_without_unicode_gets_plain_letters(odd: Joint) -> None:
    raw = BytesIO()
    page = TextIOWrapper(raw, encoding="ascii")
    Console(file=page, width=80).print(Programme(odd.plan, 80, colour=False))
    page.flush()
    assert b"The Tin Orchard" in raw.getvalue()


def test_a_day_on_which_no_stall_is_open_says_so(
    hall_named: Callable[..., HallDay],
) -> None:
    hall = hall_named([], 1)
    told = " ".join(lines_of(HallPlan(hall, (), ())))
    assert "No stall is open on this day." in told
