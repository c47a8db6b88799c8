"""What must be in every joint plan, or a smallest reason why it cannot be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from showtime.fair import Day
from showtime.planning.choices import day_task
from showtime.planning.clash import Clash, ClashingRule, smallest_clash
from showtime.planning.gauges import Ints
from showtime.planning.hall.joint import Joint
from showtime.planning.hall.part import Part, Terms
from showtime.planning.rulebook import Need, Rulebook, fixed_needs


@dataclass(frozen=True, slots=True)
class HallClash:
    """At `stall` not all that must be can be: rules of its own, or what others have fixed.

    Of a clash between stalls the rules are "fixed" of each, and those between stalls ("together",
    "noise") that they would break; `stall` is then the first of them.
    """

    stall: str
    clash: Clash


def must_be(joint: Joint, remaining: Callable[[], float]) -> Ints | HallClash:
    """Choices that keep every rule, with all that is fixed among them and nothing besides.

    Where a stall needs sound to keep its rules (something spends less than rest does), that too.
    """
    chosen = []
    for booth in joint.booths:
        standing = Rulebook(booth.task).standing(booth.needs)
        if standing is None:
            part = Part(joint, [booth.number], np.zeros(0, np.int64), noisy=False)
            found = part.best(Terms(np.ones(len(part.columns)), 1.0), remaining)
            if found.chosen is None:
                return _own_clash(joint.hall.days[booth.number])
            chosen.append(found.chosen)
        else:
            chosen.append(booth.task.numbers(standing) + booth.first)
    together = np.sort(np.concatenate([np.zeros(0, np.int64), *chosen]))
    if not joint.crowded(together) and not joint.too_loud(together):
        return together
    return _between(joint, together, remaining)


def _own_clash(day: Day) -> HallClash:
    task = day_task(day)
    return HallClash(day.signboard.stall, smallest_clash(Rulebook(task), fixed_needs(task)))


def _between(joint: Joint, together: Ints, remaining: Callable[[], float]) -> Ints | HallClash:
    """The same with other pieces, or the fixed performances of different stalls that clash."""
    bound = [booth.number for booth in joint.booths if booth.needs]
    needed = [
        needs + joint.booths[stall].first
        for stall in bound
        for needs in joint.booths[stall].task.needed
    ]
    wanted = np.unique(np.concatenate([together, *needed]))
    part = Part(joint, range(len(joint.booths)), np.zeros(0, np.int64), also=wanted)
    part.keep_only(np.isin(part.columns, wanted))
    found = part.best(Terms(np.ones(len(part.columns)), 1.0), remaining)
    if found.chosen is not None:
        return found.chosen
    guilty = [*joint.crowded(together), *joint.too_loud(together)][0]
    rules = [
        need.told
        for stall in np.unique(joint.stall[guilty]).tolist()
        for need in joint.booths[stall].needs
        if _plays(joint, guilty, stall, need)
    ]
    first = joint.hall.names[int(joint.stall[guilty[0]])]
    return HallClash(first, Clash((*rules, *_hall_rules(joint, together))))


def _plays(joint: Joint, chosen: Ints, stall: int, need: Need) -> bool:
    booth = joint.booths[stall]
    return bool((joint.starts[chosen[joint.stall[chosen] == stall]] == need.at + booth.opens).any())


def _hall_rules(joint: Joint, together: Ints) -> list[ClashingRule]:
    """The first rule between stalls that is broken."""
    for group in joint.groups:
        one = joint.crowded_in(group, together)
        if one:
            rule = group.together
            return [ClashingRule("together", rule.why, rule.where)]
    noise = joint.hall.noise[0]
    return [ClashingRule("noise", noise.because or f"at most {noise.limit_dba:g} dBA", noise.where)]
