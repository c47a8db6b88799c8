"""A second solver, of another kind, finds the same values on every level.

Outside reference: OR-Tools' CP-SAT (https://developers.google.com/optimization), a constraint
solver with clause learning, over whole numbers. Its model is written here once more from the
rules, with a plain unit flow for the waits and no help from the planner.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from math import exp, floor
from random import Random
from time import monotonic
from zoneinfo import ZoneInfo

import pytest
from ortools.sat.python import cp_model

from showtime.fair import Day, Performance, Piece, Plan, QuietInterval, Signboard, Span, budgets
from showtime.fair.budgets import Budget, Leak, Window
from showtime.fair.wishes import Busy, Fixed, Wish, Wishes
from showtime.planning import Clash, plan

SCALE = 10**7  # a limit in whole units; a level is rounded to this part of it


def at_grid(day: Day) -> list[datetime]:
    step = timedelta(minutes=1)
    count = day.hours.length // step
    return [
        moment
        for moment in (day.hours.start + step * number for number in range(count + 1))
        if day.on_grid(moment)
    ]


def seconds(day: Day, moment: datetime) -> float:
    return (moment - day.hours.start).total_seconds()


@dataclass
class Peer:
    """The choices of a day as CP-SAT's booleans, with every rule between them."""

    day: Day
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)

    def __post_init__(self) -> None:
        day = self.day
        every = [Performance(start, piece) for start in at_grid(day) for piece in day.pieces]
        self.choices = [
            one
            for one in every
            if one.ends <= day.hours.end
            and not any(quiet.forbidden.meets(one.span) for quiet in day.quiet)
        ]
        self.made = [self.model.new_bool_var(str(number)) for number in range(len(self.choices))]
        self._gaps()
        for budget in day.budgets:
            self._budget(budget)
        if day.wishes.most is not None:
            self.model.add(sum(self.made) <= day.wishes.most)
        for fixed in day.wishes.fixed:
            self.model.add_exactly_one(
                made
                for one, made in zip(self.choices, self.made, strict=True)
                if one.starts == fixed.at and fixed.piece in (None, one.piece.name)
            )

    def _gaps(self) -> None:
        engaged = []
        for one, made in zip(self.choices, self.made, strict=True):
            rest = self.day.rest_after(one.piece)
            length = (one.piece.lasts + rest) // timedelta(microseconds=1)
            start = (one.starts - self.day.hours.start) // timedelta(microseconds=1)
            engaged.append(self.model.new_optional_fixed_size_interval_var(start, length, made, ""))
        self.model.add_no_overlap(engaged)

    def _row(self, spent: list[float], limit: float) -> None:
        """The sum of what is spent by those made stays within the limit, to a hair."""
        whole = [floor(one / limit * SCALE) for one in spent]
        if sum(whole) > SCALE:
            self.model.add(cp_model.LinearExpr.weighted_sum(self.made, whole) <= SCALE)

    def _budget(self, budget: Budget) -> None:
        day = self.day
        closes = seconds(day, day.hours.end)
        spans = [(seconds(day, one.starts), seconds(day, one.ends)) for one in self.choices]
        spends = [budget.spend(one.piece) for one in self.choices]
        match budget.drain:
            case Window(width):
                wide = width.total_seconds()
                marks = {start for start, _ in spans} | {end - wide for _, end in spans}
                for mark in sorted(marks):
                    self._row(
                        [
                            spend.at_start * (mark <= start < mark + wide)
                            + spend.per_second * max(0.0, min(end, mark + wide) - max(start, mark))
                            for (start, end), spend in zip(spans, spends, strict=True)
                        ],
                        budget.limit,
                    )
            case Leak(constant):
                slow = constant.total_seconds()
                rest = budget.resting * slow
                for mark in sorted({end for _, end in spans}):
                    left = rest + (budget.initial - rest) * exp(-mark / slow)
                    self._row(
                        [
                            (spend.per_second - budget.resting)
                            * slow
                            * (exp(-max(0.0, mark - end) / slow) - exp(-(mark - start) / slow))
                            if start < mark
                            else 0.0
                            for (start, end), spend in zip(spans, spends, strict=True)
                        ],
                        budget.limit - left,
                    )
            case _:
                self._row(
                    [
                        spend.at_start + (spend.per_second - budget.resting) * (end - start)
                        for (start, end), spend in zip(spans, spends, strict=True)
                    ],
                    budget.limit - budget.initial - budget.resting * closes,
                )

    def cost(self, wish: Wish) -> cp_model.LinearExprT:
        day = self.day
        match wish:
            case Wish.PERFORMANCES:
                worth = [-round(100 * day.wishes.worth(one.starts)) for one in self.choices]
                return cp_model.LinearExpr.weighted_sum(self.made, worth)
            case Wish.WAIT:
                return self._wait()
            case Wish.ROUND_TIMES:
                ranks = [day.wishes.rank(day.local(one.starts).minute) for one in self.choices]
                return cp_model.LinearExpr.weighted_sum(self.made, ranks)
            case Wish.EVEN_PIECES:
                most = self.model.new_int_var(0, len(self.choices), "most")
                least = self.model.new_int_var(0, len(self.choices), "least")
                for piece in day.pieces:
                    played = sum(
                        made
                        for one, made in zip(self.choices, self.made, strict=True)
                        if one.piece == piece
                    )
                    self.model.add(most >= played)
                    self.model.add(least <= played)
                return most - least

    def _wait(self) -> cp_model.LinearExprT:
        """A unit flow from opening over the starts to closing; arcs cost their length squared."""
        day = self.day
        starts = sorted({one.starts for one in self.choices})
        marks = [day.hours.start, *starts, day.hours.end]
        last = len(marks) - 1
        leaving: list[list[cp_model.IntVar]] = [[] for _ in marks]
        coming: list[list[cp_model.IntVar]] = [[] for _ in marks]
        cost = []
        for source in range(last):
            for target in range(source + 1, last + 1):
                arc = self.model.new_bool_var("")
                leaving[source].append(arc)
                coming[target].append(arc)
                length = round((marks[target] - marks[source]).total_seconds() / 60)
                cost.append(arc * length**2)
        self.model.add(sum(leaving[0]) == 1)
        self.model.add(sum(coming[last]) == 1)
        for mark in range(1, last):
            through = [
                made
                for one, made in zip(self.choices, self.made, strict=True)
                if one.starts == marks[mark]
            ]
            self.model.add(sum(coming[mark]) == sum(through))
            self.model.add(sum(leaving[mark]) == sum(through))
        return sum(cost)


def second_opinion(day: Day, *, workers: int = 1, limit: float = 60.0) -> list[float] | None:
    """The value of each level by CP-SAT; None when there is no plan, or none was proven best."""
    peer = Peer(day)
    values = []
    for wish in day.wishes.order:
        cost = peer.cost(wish)
        peer.model.minimize(cost)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = workers
        solver.parameters.max_time_in_seconds = limit
        if solver.solve(peer.model) != cp_model.OPTIMAL:
            return None
        best = round(solver.objective_value)
        peer.model.add(cost <= best)
        values.append(shown(day, wish, best))
    return values


def shown(day: Day, wish: Wish, cost: int) -> float:
    if wish is Wish.PERFORMANCES:
        return -cost / 100
    if wish is Wish.WAIT:
        return cost / (2 * day.hours.length.total_seconds() / 60)
    return float(cost)


LONDON = ZoneInfo("Europe/London")
SIGNBOARD = Signboard(
    "Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON
)


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def middling_day(rng: Random) -> Day:
    """Two to four hours, two or three pieces, and some of the caps that a fair knows."""
    opens = datetime(2027, 2, 13, 10, tzinfo=UTC)
    hours = Span(opens, opens + minutes(rng.choice([120, 180, 240])))
    pieces = (
        Piece("Frost Bells", minutes(4.5), minutes(2), 74, 40, 2.4),
        Piece("The Pear Dance", minutes(7), minutes(3), 78, 55, 3.1),
        Piece("Nine Lanterns", minutes(3), minutes(1), 70, 30, 1.5),
    )[: rng.choice([2, 3])]
    cart = budgets.Neighbour("The Lantern Cart", 3)
    caps = [
        budgets.Performances(rng.choice([2, 3]), minutes(60)),
        budgets.Sounding(minutes(15), minutes(60)),
        budgets.Noise(rng.choice([58, 60, 62]), cart, minutes(60)),
        budgets.AtMost("The Pear Dance", 2),
        budgets.Heat(minutes(25), 21, 8, rng.choice([42, 45])),
        budgets.Battery(2.2, 0, 0.4),
    ]
    talk = opens + minutes(rng.randrange(20, 100))
    return Day(
        SIGNBOARD,
        date(2027, 2, 13),
        hours,
        pieces,
        (QuietInterval("a talk", Span(talk, talk + minutes(20)), minutes(2)),),
        minutes(6),
        tuple(cap for cap in caps if rng.random() < 0.6),
        Wishes(
            order=tuple(rng.choice([list(Wish), rng.sample(list(Wish), 4)])),
            most=rng.choice([None, 5]),
            prefer_minutes=(0, 30, 15, 45),
            start_on=minutes(rng.choice([5, 10])),
            busy=(Busy(Span(opens + minutes(60), opens + minutes(100)), 2),),
            fixed=(Fixed(opens + minutes(10)),) if rng.random() < 0.3 else (),
        ),
    )


CHUNKS = 4


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_a_solver_of_another_kind_reaches_the_same_values(chunk: int, full: bool) -> None:
    for seed in range(chunk, 120 if full else 20, CHUNKS):
        day = middling_day(Random(seed))
        found = plan(day, monotonic=monotonic)
        peers = second_opinion(day)
        if isinstance(found, Clash):
            assert peers is None, f"day of seed {seed}"
            continue
        assert isinstance(found, Plan)
        assert peers is not None, f"day of seed {seed}"
        values = [level.value for level in found.levels]
        assert values == pytest.approx(peers), f"day of seed {seed}"
        assert all(level.proven for level in found.levels)
