"""A noise rule is, for each stall alone, a budget of its own sound where the rule holds."""

from __future__ import annotations

from datetime import date, timedelta
from math import hypot
from typing import Any

import pytest

from showtime.fair import budgets
from showtime.fair.hall import Fair, Place

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


def test_it_is_a_budget_like_any_other(fair: Fair) -> None:
    budget = fair.stands[0].stall.days[0].budgets[-1]
    assert budget == budgets.Noise(
        62.0, budgets.Neighbour("The Lantern Cart", 3.0), HOUR, because="stories are told"
    )
    assert budget.where == fair.noise[0].where


def test_by_the_distance_of_their_places(fair: Fair) -> None:
    last = fair.stands[2].stall.days[0].budgets[-1]
    assert isinstance(last, budgets.Noise)
    assert last.at == budgets.Neighbour("The Lantern Cart", 4.0)


def test_not_at_the_stall_itself(fair: Fair) -> None:
    assert rules(fair, "The Lantern Cart") == ["fair rule: at most 4 performances in any 60 min"]


def test_not_where_the_figure_is_never_too_loud(desk: Any) -> None:
    soft = desk.fair(desk.changed_fair(("x: 3 m, y: 0 m", "x: 30 m, y: 0 m")))
    assert not [why for why in rules(soft, "The Tin Orchard") if "dBA" in why]


def test_just_at_the_limit_it_never_is(desk: Any) -> None:
    # 84 dBA at 1 m is 64 dBA at 10 m (ISO 9613-2: 20 lg 10 = 20 dB).
    places = ("x: 3 m, y: 4 m", "x: 3 m, y: 10 m")
    at_64 = desk.fair(desk.changed_fair(places, ("level: 62 dBA", "level: 64 dBA")))
    assert not [why for why in rules(at_64, "The Paper Menagerie") if "dBA" in why]
    at_63 = desk.fair(desk.changed_fair(places, ("level: 62 dBA", "level: 63.9 dBA")))
    assert [why for why in rules(at_63, "The Paper Menagerie") if "dBA" in why]


def test_of_a_rule_for_all_the_nearest_says_it_for_the_rest(desk: Any) -> None:
    everywhere = desk.fair(desk.changed_fair((", stalls: [The Lantern Cart]}", "}")))
    noisy = [why for why in rules(everywhere, "The Paper Menagerie") if "dBA" in why]
    assert noisy == ["stories are told: at most 62 dBA at The Lantern Cart over any 60 min"]
    nearest = [stand.place.distance_m(Place(3, 4)) for stand in everywhere.stands[:2]]
    assert nearest == [hypot(3, 4), 4.0]


def test_only_those_who_are_open_hear_it(desk: Any) -> None:
    rule = ("stalls: [The Lantern Cart]}", "stalls: [The Paper Menagerie]}")
    fair = desk.fair(desk.changed_fair(rule, ("x: 3 m, y: 4 m", "x: 0 m, y: 2 m")))
    saturday, sunday = (rules(fair, "The Tin Orchard", day) for day in (SATURDAY, SUNDAY))
    assert [why for why in saturday if "The Paper Menagerie" in why]
    assert not [why for why in sunday if "The Paper Menagerie" in why]


def test_over_the_day_it_is_a_mean_over_the_listeners_hours(desk: Any) -> None:
    rule = "level: 62 dBA, in_any: 60 min, stalls: [The Lantern Cart]"
    day = "level: 62 dBA, in_any: day, stalls: [The Lantern Cart, The Paper Menagerie]"
    far = desk.changed_fair((rule, day), ("x: 3 m, y: 4 m", "x: 3 m, y: 9 m"))
    fair = desk.fair(far)
    found = [one for one in fair.stands[0].stall.days[0].budgets if one.rule == "level"]
    assert [(one.at.name, one.over, one.whole_day) for one in found] == [
        ("The Lantern Cart", 7 * HOUR, True)
    ], "9 m and more away it is never too loud"
    near = desk.fair(desk.changed_fair((rule, day), ("x: 3 m, y: 4 m", "x: 3 m, y: 1 m")))
    found = [one for one in near.stands[0].stall.days[0].budgets if one.rule == "level"]
    assert [(one.at.name, one.over) for one in found] == [
        ("The Paper Menagerie", 4 * HOUR), ("The Lantern Cart", 7 * HOUR),
    ]  # fmt: skip


def test_sound_before_a_listener_opens_counts_for_its_day_too(desk: Any) -> None:
    # 74 dBA at 1 m is 64.5 dBA at 3 m; seven hours of it in a day of four are 66.9 dBA.
    rule = ("level: 62 dBA, in_any: 60 min", "level: 66 dBA, in_any: day")
    four = "    figure: Wick\n    days: [{date: 2027-02-13, opens: 11:00, closes: 15:00}]\n"
    fair = desk.fair(desk.changed_fair(rule, ("    figure: Wick\n", four)))
    assert [why for why in rules(fair, "The Tin Orchard") if "at most 66 dBA" in why]
    louder = desk.fair(desk.changed_fair((rule[0], "level: 67 dBA, in_any: day")))
    assert not [why for why in rules(louder, "The Tin Orchard") if "dBA" in why]


def test_without_a_noise_rule_a_level_may_be_left_out(desk: Any, small_fair: str) -> None:
    start, end = small_fair.index("noise:"), small_fair.index("stalls:\n")
    text = small_fair[:start] + small_fair[end:]
    fair = desk.fair(text.replace(", level: 66 dBA", ""))
    assert fair.noise == ()
    assert fair.stands[1].stall.days[0].pieces[0].level_dba is None
