"""A fair of hundreds of stalls: written by patterns, and looked at as carefully as a small one."""

from __future__ import annotations

from typing import Any

import pytest

from showtime.fair.hall import Place
from showtime.settings import load_fair

HEAD = """\
fair: Osierholt Curiosity Fair
timezone: Europe/London
days: [{date: 2027-02-13, opens: 10:00, closes: 17:00}]
noise: [{level: 62 dBA, in_any: 60 min}]
"""
PATTERN = """\
patterns:
  - &small
    figure: Pip Alder
    pieces:
      - &wren {name: Wren and Thimble, lasts: 4 min, reset: 2 min, level: 67 dBA}
      - {name: The Fold, lasts: 3 min, level: 74 dBA}
    gap: 8 min
    caps: [{performances: 3, in_any: 60 min}]
stalls:
"""


def row(stalls: int, more: str = "") -> str:
    """So many stalls of the pattern, three metres apart."""
    return "".join(
        f"  - {{<<: *small, stall: Bird {n}, place: {{x: {3 * n} m, y: 0 m}}{more}}}\n"
        for n in range(stalls)
    )


def test_what_stalls_share_is_written_once(desk: Any) -> None:
    fair = desk.fair(HEAD + PATTERN + row(3))
    assert [stand.name for stand in fair.stands] == ["Bird 0", "Bird 1", "Bird 2"]
    assert [stand.place for stand in fair.stands] == [Place(0, 0), Place(3, 0), Place(6, 0)]
    days = [stand.stall.days[0] for stand in fair.stands]
    assert {day.pieces for day in days} == {days[0].pieces}
    assert {day.gap.total_seconds() for day in days} == {480}


def test_a_stalls_own_keys_count_before_those_of_its_pattern(desk: Any) -> None:
    own = "  - {<<: *small, stall: Owl, place: {x: 9 m, y: 9 m}, gap: 5 min, pieces: [*wren]}\n"
    fair = desk.fair(HEAD + PATTERN + row(1) + own)
    bird, owl = (stand.stall.days[0] for stand in fair.stands)
    assert (bird.gap.total_seconds(), owl.gap.total_seconds()) == (480, 300)
    assert (len(bird.pieces), len(owl.pieces)) == (2, 1)
    assert bird.pieces[0] == owl.pieces[0]
    assert owl.budgets[0] == bird.budgets[0]


def test_the_first_stall_may_be_the_pattern_itself(desk: Any) -> None:
    text = HEAD + (
        "stalls:\n"
        "  - &owl\n    stall: Owl\n    figure: Hoot\n    place: {x: 0 m, y: 0 m}\n"
        "    pieces: [{name: The Fold, lasts: 3 min, level: 74 dBA}]\n"
        "  - <<: *owl\n    stall: Owlet\n    place: {x: 3 m, y: 0 m}\n"
    )
    assert [stand.name for stand in desk.fair(text).stands] == ["Owl", "Owlet"]


def test_two_that_got_name_and_place_from_one_pattern_are_told_apart_by_their_lines(
    desk: Any,
) -> None:
    text = HEAD + (
        "patterns: [&owl {stall: Owl, figure: Hoot, place: {x: 0 m, y: 0 m},"
        " pieces: [{name: The Fold, lasts: 3 min, level: 74 dBA}]}]\n"
        "stalls:\n  - {<<: *owl}\n  - ▸▸{<<: *owl}\n"
    )
    first = f"{desk.folder}/fair.yaml:7:5"
    assert desk.fair_told(text) == [
        f"'Owl' is the name of another stall too, at {first}; rename one",
        f"Owl stands in this very place too, at {first}; move one",
    ]


def test_a_slip_in_a_pattern_is_told_once(desk: Any) -> None:
    wrong = PATTERN.replace("lasts: 4 min", "lasts: ▸4")
    assert len(desk.fair_told(HEAD + wrong + row(50))) == 1


def test_a_pattern_that_nobody_uses_is_not_judged(desk: Any) -> None:
    unused = PATTERN.replace("stalls:\n", "  - &later {pieces: not decided yet}\nstalls:\n")
    assert len(desk.fair(HEAD + unused + row(2)).stands) == 2


@pytest.mark.parametrize("stalls", [600])
def test_hundreds_of_stalls_by_a_pattern(desk: Any, stalls: int) -> None:
    fair = desk.fair(HEAD + PATTERN + row(stalls))
    assert len(fair.stands) == stalls
    noisy = [one for one in fair.stands[300].stall.days[0].budgets if one.rule == "level"]
    assert [one.at.name for one in noisy] == ["Bird 299"], "one of the two that are nearest"


def test_hundreds_of_stalls_that_share_nothing(desk: Any) -> None:
    each = PATTERN.split("&small\n")[1].split("stalls:")[0].replace("&wren ", "")
    text = HEAD + "stalls:\n" + "".join(
        f"  - stall: Bird {n}\n    place: {{x: {n % 30 * 3} m, y: {n // 30 * 3} m}}\n{each}"
        "    quiet:\n      - {why: lunch, from: 12:30, until: 13:00}\n"
        "    body:\n      battery: {capacity: 10 Ah, keep: 20 %, idle: 0.4 A}\n"
        "    wishes: {start_on: 5 min, prefer_minutes: [0, 30, 15, 45]}\n"
        for n in range(600)
    )  # fmt: skip
    assert len(desk.fair(text).stands) == 600


def test_a_slip_at_each_of_hundreds_is_told_as_far_as_anybody_reads(desk: Any) -> None:
    error = desk.fair_complaints(HEAD + PATTERN + row(300, ", gap: 5"))
    assert len(error.problems) == 201
    assert error.problems[-1].message.startswith("from here on there are 100 more problems")


CALENDAR = "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\n{}END:VEVENT\nEND:VCALENDAR\n"
TALKS = "    quiet: [{why: talks, calendar: talks.ics, margin: 5 min}]\nstalls:\n"


def test_a_calendar_that_all_of_a_pattern_name(desk: Any) -> None:
    desk.lay("talks.ics", CALENDAR.format("DTSTART:20270213T120000\nDURATION:PT1H\n"))
    fair = desk.fair(HEAD + PATTERN.replace("stalls:\n", TALKS) + row(300))
    days = [stand.stall.days[0] for stand in fair.stands]
    assert {day.quiet for day in days} == {days[0].quiet}
    assert [one.why for one in days[0].quiet] == ["talks"]


def test_when_it_is_broken_it_is_told_once(desk: Any) -> None:
    desk.lay("talks.ics", CALENDAR.format("DTSTART:▸soon\n"))
    error = desk.fair_complaints(HEAD + PATTERN.replace("stalls:\n", TALKS) + row(30))
    assert len(error.problems) == 1
    assert error.problems[0].where.file.endswith("talks.ics")


def test_when_it_is_not_there_it_is_missed_where_it_is_named(desk: Any) -> None:
    named = "".join(
        f"  - {{<<: *small, stall: Owl {n}, place: {{x: {n} m, y: 9 m}},"
        f" quiet: [{{why: talks, calendar: ▸gone.ics}}]}}\n"
        for n in range(2)
    )
    assert len(desk.fair_told(HEAD + PATTERN + named)) == 2


def test_stalls_by_their_own_files(desk: Any) -> None:
    for n in range(20):
        desk.lay(f"bird{n}.yaml", f"stall: Bird {n}\nfigure: Pip\n"
                 "pieces: [{name: The Fold, lasts: 3 min, level: 74 dBA}]\n")  # fmt: skip
    listed = "".join(
        f"  - {{file: bird{n}.yaml, place: {{x: {n} m, y: 0 m}}}}\n" for n in range(20)
    )
    fair = load_fair(desk.lay("fair.yaml", HEAD + "stalls:\n" + listed))
    assert [stand.file for stand in fair.stands] == [f"bird{n}.yaml" for n in range(20)]
