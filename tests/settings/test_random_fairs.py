"""Fairs drawn by lot: what is loaded is what was written, and budgets mean what the rules mean."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from datetime import timedelta
from math import hypot
from typing import Any

from showtime.fair import Day, Performance
from showtime.fair.budgets import Neighbour, Noise
from showtime.fair.hall import Fair
from showtime.planning import broken

HEAD = """\
fair: Osierholt Curiosity Fair
timezone: Europe/London
days: [{date: 2027-02-13, opens: 10:00, closes: 14:00}]
"""


@dataclass(frozen=True)
class Drawn:
    """A fair as it was drawn: places in decimetres, a level for each stall, and the rules."""

    places: list[tuple[int, int]]
    levels: list[int]
    hours: list[tuple[int, int]]
    noise: list[tuple[int, str, list[int] | None]]
    caps: list[tuple[int, list[int] | None]]

    @property
    def text(self) -> str:
        rules = "".join(
            f"  - {{level: {level} dBA, in_any: {span}{_named(stalls)}}}\n"
            for level, span, stalls in self.noise
        )
        caps = "".join(
            f"  - {{performances: {most}, in_any: day{_named(stalls)}}}\n"
            for most, stalls in self.caps
        )
        stalls = "".join(
            f"  - stall: {number}\n    figure: Pip\n    place: {{x: {x / 10} m, y: {10 * y} cm}}\n"
            f"    pieces: [{{name: The Fold, lasts: 5 min, level: {level} dBA}}]\n"
            f"    days: [{{date: 2027-02-13, opens: {opens}:00, closes: {closes}:00}}]\n"
            for number, ((x, y), level, (opens, closes)) in enumerate(
                zip(self.places, self.levels, self.hours, strict=True)
            )
        )
        return f"{HEAD}noise:\n{rules}caps:\n{caps}stalls:\n{stalls}"


def _named(stalls: list[int] | None) -> str:
    return "" if stalls is None else f", stalls: {stalls}"


def drawn(luck: random.Random) -> Drawn:
    count = luck.randint(1, 7)
    everywhere = [(x, y) for x in range(-30, 60, 5) for y in range(0, 60, 10)]

    def some() -> list[int] | None:
        return luck.choice([None, sorted(luck.sample(range(count), luck.randint(1, count)))])

    return Drawn(
        luck.sample(everywhere, count),
        [luck.randint(55, 85) for _ in range(count)],
        [luck.choice([(10, 14), (10, 12), (11, 14)]) for _ in range(count)],
        [
            (luck.randint(50, 80), luck.choice(["20 min", "60 min", "300 min", "day"]), some())
            for _ in range(luck.randint(1, 3))
        ],
        [(luck.randint(1, 20), some()) for _ in range(luck.randint(0, 3))],
    )


def test_what_is_written_is_what_is_loaded(desk: Any, full: bool) -> None:
    for seed in range(400 if full else 40):
        wanted = drawn(random.Random(seed))
        fair: Fair = desk.fair(wanted.text)
        hall = fair.hall(fair.hours[0][0])
        assert hall is not None
        assert hall.names == tuple(str(number) for number in range(len(wanted.places)))
        assert [(round(10 * at.x_m), round(10 * at.y_m)) for at in hall.places] == wanted.places
        for number, day in enumerate(hall.days):
            caps = [int(one.limit) for one in day.budgets if one.rule == "performances"]
            assert caps == [most for most, who in wanted.caps if who is None or number in who]
            assert day.pieces[0].level_dba == wanted.levels[number]


def every_budget(wanted: Drawn, number: int, day: Day) -> list[Noise]:
    """One for each rule and each stall that must not hear more, near or far, loud or not."""
    found = []
    for level, span, stalls in wanted.noise:
        for other, (x, y) in enumerate(wanted.places):
            if other != number and (stalls is None or other in stalls):
                away = hypot(x - wanted.places[number][0], y - wanted.places[number][1]) / 10
                opens, closes = wanted.hours[other]
                hours = timedelta(hours=closes - opens)
                over = hours if span == "day" else timedelta(minutes=int(span.split()[0]))
                found.append(Noise(level, Neighbour(str(other), away), over, span == "day"))
    return found


def test_the_few_budgets_of_a_stall_forbid_just_what_one_for_every_listener_would(
    desk: Any, full: bool
) -> None:
    loud = soft = 0
    for seed in range(300 if full else 20):
        luck = random.Random(1000 + seed)
        wanted = drawn(luck)
        fair = desk.fair(wanted.text)
        for number, day in enumerate(fair.hall(fair.hours[0][0]).days):
            few = tuple(one for one in day.budgets if one.rule == "level")
            every = tuple(every_budget(wanted, number, day))
            assert len(few) <= len(every)
            for _ in range(3):
                playing = played(day, luck)
                verdicts = [
                    bool(broken(replace(day, budgets=these), playing)) for these in (few, every)
                ]
                assert verdicts[0] == verdicts[1], f"seed {seed}, stall {number}"
                loud += verdicts[0]
                soft += not verdicts[0]
    assert min(loud, soft) > 25, "both come up often"


def played(day: Day, luck: random.Random) -> list[Performance]:
    """The piece again and again, from hardly ever to all day."""
    slots = int(day.hours.length / timedelta(minutes=5))
    share = luck.random()
    return [
        Performance(day.hours.start + n * timedelta(minutes=5), day.pieces[0])
        for n in range(slots)
        if luck.random() < share
    ]
