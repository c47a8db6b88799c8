"""The hall's judge against a sampler that looks at every half-minute of a random fair.

All times of these fairs are whole half-minutes, so the sampler misses nothing. Sets of stalls are
listed one by one, noise is added up slot by slot, with none of the judge's arithmetic.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import combinations
from math import fsum, hypot, log10
from random import Random

from showtime.fair import Performance
from showtime.fair.hall import HallDay, HallNoise, Place, Together
from showtime.planning import broken
from showtime.planning.hall import HallBroken, broken_in_hall

SLOT = timedelta(seconds=30)
LEAD = 400
"""Slots that are looked at before the hall opens, and after it closes."""

Lists = tuple[tuple[Performance, ...], ...]


def slot_of(hall: HallDay, moment: datetime) -> int:
    return (moment - hall.hours.start) // SLOT + LEAD


def sounding_by_slot(hall: HallDay, lists: Lists) -> list[set[int]]:
    found: list[set[int]] = [set() for _ in range(hall.hours.length // SLOT + 2 * LEAD)]
    for stall, given in enumerate(lists):
        for one in given:
            for slot in range(slot_of(hall, one.starts), slot_of(hall, one.ends)):
                found[slot].add(stall)
    return found


def apart_m(hall: HallDay, one: int, two: int) -> float:
    here, there = hall.places[one], hall.places[two]
    return hypot(here.x_m - there.x_m, here.y_m - there.y_m)


def too_large(hall: HallDay, rule: Together, stalls: set[int]) -> list[tuple[int, ...]]:
    """Every set of one more than may sound, all of them within the distance of each other."""
    return [
        those
        for those in combinations(sorted(stalls), rule.most + 1)
        if all(
            rule.within_m is None or apart_m(hall, *pair) <= rule.within_m
            for pair in combinations(those, 2)
        )
    ]


Crowd = tuple[str, datetime, tuple[str, ...]]


def crowds_by_slot(hall: HallDay, lists: Lists) -> set[Crowd]:
    """Who begins to sound in a slot, one after the other, and is too many, and beside whom."""
    slots, found = sounding_by_slot(hall, lists), set()
    starts = {
        (slot_of(hall, one.starts), stall, one.starts)
        for stall, given in enumerate(lists)
        for one in given
    }
    ends = {(slot_of(hall, one.ends), stall) for stall, given in enumerate(lists) for one in given}
    for slot, stall, at in starts:
        before = slots[slot - 1]
        goes_on = sum(
            slot_of(hall, one.starts) < slot < slot_of(hall, one.ends) for one in lists[stall]
        )
        if goes_on or (stall in before and (slot, stall) not in ends):
            continue
        there = {other for other in slots[slot] if other != stall}
        new = {number for at_slot, number, _ in starts if at_slot == slot and number > stall}
        still = {
            number
            for number in new
            if any(
                slot_of(hall, one.starts) < slot < slot_of(hall, one.ends) for one in lists[number]
            )
        }
        there -= new - still
        for rule in hall.together:
            sets = [those for those in too_large(hall, rule, there | {stall}) if stall in those]
            if sets:
                others = sorted({one for those in sets for one in those} - {stall})
                found.add((hall.names[stall], at, tuple(hall.names[one] for one in others)))
    return found


def heard_by_slot(hall: HallDay, lists: Lists, stall: int) -> list[float]:
    """What reaches a stall in each slot: 1 is one second of 0 dBA."""
    found = [0.0] * (hall.hours.length // SLOT + 2 * LEAD)
    for other, given in enumerate(lists):
        for one in given:
            if other == stall or one.piece.level_dba is None:
                continue
            level = one.piece.level_dba - 20 * log10(apart_m(hall, stall, other))
            for slot in range(slot_of(hall, one.starts), slot_of(hall, one.ends)):
                found[slot] += 30 * 10 ** (level / 10)
    return found


def means(hall: HallDay, heard: Sequence[float], rule: HallNoise, stall: int) -> list[float]:
    """The mean level of every stretch that ends with a slot, or of the stall's open hours."""
    hours = hall.days[stall].hours
    if rule.whole_day:
        inside = heard[slot_of(hall, hours.start) : slot_of(hall, hours.end)]
        stretches = [(fsum(inside), hours.length)]
    else:
        wide = rule.over // SLOT
        stretches = [
            (fsum(heard[max(0, end - wide) : end]), rule.over) for end in range(len(heard) + 1)
        ]
    return [
        10 * log10(energy / length.total_seconds()) if energy else float("-inf")
        for energy, length in stretches
    ]


def noise_by_slot(hall: HallDay, lists: Lists) -> list[tuple[str, float]]:
    """Each stretch of time in which it is too loud somewhere, and how loud at its worst."""
    found = []
    for rule in hall.noise:
        for stall, name in enumerate(hall.names):
            if rule.holds_at(name):
                levels = means(hall, heard_by_slot(hall, lists, stall), rule, stall)
                found += [(name, worst) for worst in runs(levels, rule.limit_dba + 4e-9)]
    return sorted(found)


def runs(levels: Sequence[float], limit: float) -> Iterator[float]:
    worst = None
    for level in [*levels, float("-inf")]:
        if level > limit:
            worst = max(level, worst or level)
        elif worst is not None:
            yield worst
            worst = None


def crowds_of(judged: Sequence[HallBroken]) -> set[Crowd]:
    return {(one.stall, one.at, one.others) for one in judged if one.rule == "together"}


def figure(one: HallBroken) -> float:
    return float(one.why.removeprefix("just over ").split(" dBA")[0])


def agree(hall: HallDay, lists: Lists) -> set[str]:
    """Holds the judge against the sampler; the rules that were broken."""
    judged = broken_in_hall(hall, lists)
    assert crowds_of(judged) == crowds_by_slot(hall, lists)
    loud = sorted((one.stall, figure(one)) for one in judged if one.rule == "noise")
    expected = noise_by_slot(hall, lists)
    assert loud == [(name, round(level, 1)) for name, level in expected]
    own = [(one.stall, one.rule, one.why, one.at) for one in judged if not one.others]
    for number, (day, given) in enumerate(zip(hall.days, lists, strict=True)):
        mine = [one[1:] for one in own if one[0] == hall.names[number]]
        assert mine == [(one.rule, one.why, one.at) for one in broken(day, given)]
    return {one.rule for one in judged}


def test_the_judge_finds_what_a_look_at_every_half_minute_finds(
    random_hall: Callable[..., HallDay], random_lists: Callable[..., Lists], full: bool
) -> None:
    dice = Random(810)
    seen: dict[str, int] = {}
    for _ in range(1500 if full else 120):
        hall = random_hall(dice)
        rules = agree(hall, random_lists(dice, hall))
        for rule in rules:
            seen[rule] = seen.get(rule, 0) + 1
    assert seen["together"] > 20 and seen["noise"] > 10 and seen["level"] > 5, seen


def mutant(dice: Random, hall: HallDay, lists: Lists) -> tuple[HallDay, Lists]:
    """A joint plan with one thing changed: moved, added, made louder, or a neighbour nearer."""
    number = dice.randrange(len(lists))
    changed = [list(each) for each in lists]
    mine, day = changed[number], hall.days[number]
    change = dice.choice(["move", "add", "nearer"])
    if change == "nearer":
        places = list(hall.places)
        other = dice.choice([one for one in range(len(lists)) if one != number])
        there = places[other]
        places[number] = Place(there.x_m + dice.choice([1, 2, 4]), there.y_m + 0.5)
        return replace(hall, places=tuple(places)), lists
    slot = dice.randrange(day.hours.length // SLOT)
    if change == "move" and mine:
        mine.remove(dice.choice(mine))
    mine.append(Performance(day.hours.start + slot * SLOT, dice.choice(day.pieces)))
    return hall, tuple(tuple(each) for each in changed)


def test_a_plan_that_keeps_every_rule_and_is_spoiled_is_judged_as_the_sampler_does(
    random_hall: Callable[..., HallDay], crammed: Callable[..., Lists], full: bool
) -> None:
    dice = Random(811)
    caught: dict[str, int] = {}
    clean = 0
    for _ in range(200 if full else 20):
        hall = random_hall(dice)
        lists = crammed(dice, hall)
        assert not agree(hall, lists)
        for _ in range(6):
            rules = agree(*mutant(dice, hall, lists))
            clean += not rules
            for rule in rules:
                caught[rule] = caught.get(rule, 0) + 1
    assert caught["together"] > 5 and clean > 5, (caught, clean)
