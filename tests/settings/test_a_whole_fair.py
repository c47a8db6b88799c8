"""A fair's file, with its stalls' files, as fair values."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from showtime.fair import Span
from showtime.fair.hall import Fair, HallNoise, Place, Together
from showtime.settings import load_stall

SATURDAY, SUNDAY = date(2027, 2, 13), date(2027, 2, 14)
HOUR = timedelta(hours=1)


@pytest.fixture
def fair(desk: Any) -> Fair:
    made: Fair = desk.fair()
    return made


def rules(fair: Fair, stall: str, day: date = SATURDAY) -> list[str]:
    """The budgets of a stall's day in words, those of its own first."""
    (found,) = [stand.stall.day(day) for stand in fair.stands if stand.name == stall]
    assert found is not None
    return [budget.why for budget in found.budgets]


def test_the_fairs_own_names_and_hours(fair: Fair) -> None:
    assert (fair.name, fair.timezone.key) == ("Osierholt Curiosity Fair", "Europe/London")
    assert fair.hours == tuple(
        (day, Span(datetime(2027, 2, day.day, 10, tzinfo=UTC),
                   datetime(2027, 2, day.day, closes, tzinfo=UTC)))
        for day, closes in ((SATURDAY, 17), (SUNDAY, 16))
    )  # fmt: skip


def test_stalls_stand_in_the_files_order_each_in_its_place(fair: Fair) -> None:
    assert [(stand.name, stand.place, stand.file) for stand in fair.stands] == [
        ("The Tin Orchard", Place(0, 0), "orchard.yaml"),
        ("The Lantern Cart", Place(3, 0), ""),
        ("The Paper Menagerie", Place(3, 4), ""),
    ]


def test_centimetres_are_a_place_too(desk: Any) -> None:
    fair = desk.fair(desk.changed_fair(("x: 3 m, y: 4 m", "x: -350 cm, y: 4.5 m")))
    assert fair.stands[2].place == Place(-3.5, 4.5)


def test_the_rules_between_stalls(fair: Fair) -> None:
    assert fair.together == (Together(1, 4.0, "neighbours"), Together(2))
    assert fair.noise == (
        HallNoise(62.0, HOUR, False, ("The Lantern Cart",), "stories are told"),
    )  # fmt: skip


def test_every_rule_between_stalls_knows_its_line(fair: Fair) -> None:
    lines = [rule.where.line for rule in (*fair.together, *fair.noise)]
    assert lines == [12, 13, 15]
    assert {Path(rule.where.file).name for rule in (*fair.together, *fair.noise)} == {"fair.yaml"}


def test_a_noise_rule_for_the_day_is_for_however_long_a_stall_is_open(desk: Any) -> None:
    fair = desk.fair(
        desk.changed_fair(("level: 62 dBA, in_any: 60 min", "level: 62 dBA, in_any: day"))
    )
    (rule,) = fair.noise
    assert (rule.whole_day, rule.over) == (True, 7 * HOUR)


def test_a_day_has_the_stalls_that_are_open_on_it(fair: Fair) -> None:
    hall = fair.hall(SATURDAY)
    assert hall is not None and hall.names == (
        "The Tin Orchard", "The Lantern Cart", "The Paper Menagerie",
    )  # fmt: skip
    assert hall.places[2] == Place(3, 4)
    other = fair.hall(SUNDAY)
    assert other is not None and other.names == ("The Tin Orchard", "The Lantern Cart")
    assert fair.hall(date(2027, 2, 15)) is None


def test_stalls_inherit_days_quiet_intervals_and_caps(fair: Fair) -> None:
    cart = fair.stands[1].stall
    assert [day.date for day in cart.days] == [SATURDAY, SUNDAY]
    assert [[one.why for one in day.quiet] for day in cart.days] == [["opening speech"], []]
    assert rules(fair, "The Lantern Cart") == ["fair rule: at most 4 performances in any 60 min"]
    paper = fair.stands[2].stall
    assert paper.days[0].quiet == (), "it opens after the speech"


def test_a_cap_for_some_holds_for_those_alone(fair: Fair) -> None:
    corner = "reading corner: at most 12 min of sound in any 60 min"
    having = [stand.name for stand in fair.stands if corner in rules(fair, stand.name)]
    assert having == ["The Paper Menagerie"]


def test_a_stall_without_an_organiser_inherits_all_the_same(desk: Any, orchard: str) -> None:
    fair = desk.fair(orchard=orchard.replace("organiser: fair.yaml\n", ""))
    assert len(fair.stands[0].stall.days) == 2
    assert rules(fair, "The Tin Orchard")[0].startswith("fair rule")


def test_loaded_alone_a_stall_has_the_caps_of_the_groups_that_name_it(desk: Any) -> None:
    names = "stalls: [The Paper Menagerie]"
    desk.fair()
    alone = load_stall(desk.folder / "orchard.yaml").days[0].budgets
    assert [one.why for one in alone] == ["fair rule: at most 4 performances in any 60 min"]
    desk.fair(desk.changed_fair((names, "stalls: [The Paper Menagerie, The Tin Orchard]")))
    both = load_stall(desk.folder / "orchard.yaml").days[0].budgets
    assert [one.why for one in both][1] == "reading corner: at most 12 min of sound in any 60 min"


def test_a_stall_is_the_same_by_file_and_in_place(desk: Any, orchard: str) -> None:
    by_file = desk.fair()
    indented = "".join(f"    {line}\n" for line in orchard.splitlines())
    here = f"  - place: {{x: 0 m, y: 0 m}}\n{indented}"
    in_place = desk.fair(
        desk.changed_fair(("  - {file: orchard.yaml, place: {x: 0 m, y: 0 m}}\n", here))
    )
    assert [one.stall for one in in_place.stands] == [one.stall for one in by_file.stands]


def test_files_of_stalls_and_their_calendars_lie_beside_them(desk: Any, orchard: str) -> None:
    (desk.folder / "stalls").mkdir()
    desk.lay("stalls/orchard.yaml", orchard.replace("fair.yaml", "../fair.yaml") +
        "quiet: [{why: talks, calendar: talks.ics}]\n")  # fmt: skip
    desk.lay(
        "stalls/talks.ics",
        "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\nDTSTART:20270213T120000\nDURATION:PT1H\n"
        "END:VEVENT\nEND:VCALENDAR\n",
    )
    fair = desk.fair(desk.changed_fair(("orchard.yaml", "stalls/orchard.yaml")))
    whys = [one.why for one in fair.stands[0].stall.days[0].quiet]
    assert whys == ["opening speech", "talks"]


def test_a_cap_at_a_stall_is_not_for_that_stall_itself(desk: Any, orchard: str) -> None:
    cap = "  - {level: 60 dBA, at: The Tin Orchard, in_any: day}\n"
    near = "neighbours: [{name: The Tin Orchard, distance: 3 m}]\n"
    text = desk.changed_fair(("together:\n", f"{cap}together:\n"))
    text = text.replace("    figure: ", f"    {near}    figure: ")
    fair = desk.fair(text)
    with_it = [
        stand.name
        for stand in fair.stands
        if any("at most 60 dBA at The Tin Orchard" in why for why in rules(fair, stand.name))
    ]
    assert with_it == ["The Lantern Cart", "The Paper Menagerie"]


def test_a_margin_of_the_fairs_quiet_reaches_into_the_hours_of_a_stall(desk: Any) -> None:
    speech = "until: 10:10, days: [2027-02-13]}"
    late = [
        desk.fair(desk.changed_fair((speech, f"until: 10:50, margin: {margin} min}}")))
        for margin in (9, 11)
    ]
    assert [len(fair.stands[2].stall.days[0].quiet) for fair in late] == [0, 1], "it opens at 11:00"
