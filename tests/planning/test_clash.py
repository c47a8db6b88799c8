"""When what the keeper fixed cannot be, the answer names a smallest set of rules that clash."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import combinations
from random import Random
from time import monotonic

from showtime.fair import Day, Piece, Plan, Span, Where, budgets
from showtime.fair.wishes import Fixed, Wishes
from showtime.planning import Clash, plan


def at(day: Day, hour: int, minute: int = 0) -> datetime:
    return day.local(day.hours.start).replace(hour=hour, minute=minute)


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def fixing(day: Day, *fixed: Fixed) -> Day:
    return replace(day, wishes=replace(day.wishes, fixed=fixed))


def clash(day: Day) -> list[str]:
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Clash), found
    return [rule.rule for rule in found.rules]


def test_a_fixed_time_in_a_quiet_interval_names_both_with_their_places(demo_day: Day) -> None:
    lunch = Where("tin-orchard.yaml", 25, 5)
    judges = Where("tin-orchard.yaml", 51, 11)
    quiet = tuple(
        replace(one, where=lunch) if "lunch" in one.why else one for one in demo_day.quiet
    )
    day = fixing(
        replace(demo_day, quiet=quiet),
        Fixed(at(demo_day, 13, 10), "Frost Bells", "the judges come by", judges),
    )
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Clash)
    assert [(rule.rule, rule.where) for rule in found.rules] == [
        ("quiet", lunch),
        ("fixed", judges),
    ]
    assert found.rules[0].why == "the keeper's lunch"
    assert "Frost Bells at 13:10" in found.rules[1].why
    assert "the judges come by" in found.rules[1].why


def test_two_fixed_times_too_near_name_the_gap_and_both(demo_day: Day) -> None:
    day = fixing(
        demo_day,
        Fixed(at(demo_day, 13, 30), "Frost Bells"),
        Fixed(at(demo_day, 13, 40), "Frost Bells"),
        Fixed(at(demo_day, 16, 30), "Frost Bells"),
    )
    assert clash(day) == ["gap", "fixed", "fixed"]


def test_two_pieces_at_one_time_clash_but_the_same_fixed_twice_does_not(demo_day: Day) -> None:
    here = at(demo_day, 15, 30)
    twice = fixing(demo_day, Fixed(here, "The Pear Dance"), Fixed(here))
    assert isinstance(plan(twice, monotonic=monotonic), Plan)
    both = fixing(demo_day, Fixed(here, "The Pear Dance"), Fixed(here, "Frost Bells"))
    assert clash(both) == ["gap", "fixed", "fixed"]


def test_a_time_off_the_grid_and_one_after_closing_are_told_so(demo_day: Day) -> None:
    assert clash(fixing(demo_day, Fixed(at(demo_day, 15, 31)))) == ["grid", "fixed"]
    assert clash(fixing(demo_day, Fixed(at(demo_day, 17), "Frost Bells"))) == ["closes", "fixed"]
    assert clash(fixing(demo_day, Fixed(at(demo_day, 9), "Frost Bells"))) == ["opens", "fixed"]


def test_four_fixed_in_an_hour_that_allows_three_name_the_cap_and_the_four(demo_day: Day) -> None:
    day = replace(
        demo_day, quiet=(), gap=minutes(1), budgets=(budgets.Performances(3, minutes(60)),)
    )
    times = [at(day, 12, minute) for minute in (0, 15, 30, 45)]
    assert clash(fixing(day, *(Fixed(time, "Frost Bells") for time in times))) == [
        "performances",
        *["fixed"] * 4,
    ]


def test_a_cap_that_nothing_can_keep_clashes_with_itself(demo_day: Day) -> None:
    """Four ampere hours flow away at idle in ten hours; the battery gives three."""
    day = replace(demo_day, budgets=(budgets.Battery(3, 0.0, 0.5),))
    assert clash(day) == ["battery"]
    hot = replace(demo_day, budgets=(budgets.Heat(minutes(25), 21, 30, 45),))
    assert clash(hot) == ["heat"]


def test_fixing_more_than_wished_for_names_the_wish(demo_day: Day) -> None:
    where = Where("tin-orchard.yaml", 46, 17)
    day = replace(demo_day, wishes=replace(demo_day.wishes, most=1, most_where=where))
    day = fixing(day, Fixed(at(day, 12, 30), "Frost Bells"), Fixed(at(day, 16, 30), "Frost Bells"))
    found = plan(day, monotonic=monotonic)
    assert isinstance(found, Clash)
    assert [rule.rule for rule in found.rules] == ["wishes.performances", "fixed", "fixed"]
    assert found.rules[0].where == where


def test_a_fixed_time_with_a_free_piece_clashes_only_when_every_piece_does(demo_day: Day) -> None:
    """No dance fits at 11:20, before the story circle, if it lasts fifteen minutes; bells do."""
    long = Piece("The Pear Dance", minutes(15))
    day = replace(demo_day, pieces=(demo_day.pieces[0], long), budgets=())
    free = fixing(day, Fixed(at(day, 11, 20)))
    assert isinstance(plan(free, monotonic=monotonic), Plan)
    assert clash(fixing(day, Fixed(at(day, 11, 20), "The Pear Dance"))) == ["quiet", "fixed"]


def only(day: Day, numbers: frozenset[int]) -> Day:
    """The day with the rules of these numbers alone: first its budgets, then what is fixed."""
    budget_count = len(day.budgets)
    kept = [one for number, one in enumerate(day.budgets) if number in numbers]
    fixed = [one for number, one in enumerate(day.wishes.fixed, budget_count) if number in numbers]
    return replace(
        day, budgets=tuple(kept), wishes=replace(day.wishes, fixed=tuple(fixed), order=())
    )


def crowded(day: Day, rng: Random) -> Day:
    """Three fixed times and some caps that are likely not to bear them."""
    hours = Span(day.hours.start, day.hours.start + minutes(120))
    pieces = (
        Piece("Frost Bells", minutes(4.5), heat_k=40),
        Piece("The Pear Dance", minutes(7), heat_k=55),
    )
    caps = (
        budgets.Performances(rng.choice([1, 2]), minutes(rng.choice([30, 60]))),
        budgets.Sounding(minutes(rng.choice([7, 10])), minutes(60)),
        budgets.AtMost("Frost Bells", rng.choice([0, 1])),
        budgets.Heat(minutes(25), 21, 8, rng.choice([33, 38, 42])),
        budgets.Battery(1.4, 0, 0.5),
    )
    fixed = tuple(
        Fixed(
            hours.start + minutes(start),
            rng.choice([None, "Frost Bells", "The Pear Dance"]),
            f"guest {number}",
        )
        for number, start in enumerate(rng.sample(range(0, 110, 10), 3))
    )
    return replace(
        day,
        hours=hours,
        pieces=pieces,
        quiet=(),
        gap=minutes(0),
        budgets=caps,
        wishes=Wishes(fixed=fixed),
    )


def test_no_smaller_set_of_rules_clashes(demo_day: Day, full: bool) -> None:
    clashes = 0
    for seed in range(150 if full else 25):
        day = crowded(demo_day, Random(seed))
        found = plan(day, monotonic=monotonic)
        if isinstance(found, Plan):
            continue
        clashes += 1
        whys = [budget.why for budget in day.budgets] + [one.why for one in day.wishes.fixed]
        named = frozenset(
            number
            for number, why in enumerate(whys)
            if any(rule.why.endswith(why) for rule in found.rules)
        )
        assert len(named) == len(found.rules), f"day of seed {seed}"
        assert isinstance(plan(only(day, named), monotonic=monotonic), Clash)
        for fewer in combinations(range(len(whys)), len(named) - 1):
            smaller = only(day, frozenset(fewer))
            assert isinstance(plan(smaller, monotonic=monotonic), Plan), f"day of seed {seed}"
    assert clashes > 10
