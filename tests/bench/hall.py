"""How near a joint plan comes to the most there can be, in a given time, beside a second solver.

The fairs are invented: stalls on a grid of 3 m, direct neighbours never together, a 7-hour day on a
5-minute grid, and every stall different. The second solver is asked for total worth alone, without
shares and without limits of noise, so that its task is the easier one.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import ceil, exp, floor, sqrt
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

from ortools.sat.python import cp_model

from showtime.fair import Day, Performance, Piece, QuietInterval, Signboard, Span, budgets, wishes
from showtime.fair.budgets import Budget, Leak, Window
from showtime.fair.hall import HallDay, HallNoise, HallPlan, HallWish, Place, Together
from showtime.planning.hall import broken_in_hall, plan_hall
from showtime.settings import load_fair
from tests.bench.row import Row

LONDON = ZoneInfo("Europe/London")
FAIR = "Osierholt Curiosity Fair"
HOUR = timedelta(hours=1)
APART_M = 3.0
LOUD_DBA = 72.0
SCALE = 10**7
WORKERS = 2


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2027, 2, 13, hour, minute, tzinfo=LONDON)


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def a_stall(name: str, rng: Random) -> Day:
    """A stall of one to three pieces; a quarter of them get warm."""
    warm = rng.random() < 0.25
    lengths = rng.sample([4.5, 5, 5.5, 6, 6.5, 7], rng.randint(1, 3))
    pieces = tuple(
        Piece(
            f"Piece {number}",
            minutes(length),
            minutes(rng.choice([1, 2, 3])),
            rng.choice([70, 72, 74, 76]),
            rng.choice([40, 45, 50]) if warm else 0.0,
        )
        for number, length in enumerate(lengths, 1)
    )
    quiet = [QuietInterval("opening speech", Span(at(10), at(10, 10)))]
    lunch = rng.choice([None, at(12), at(12, 30), at(13), at(13, 30)])
    if lunch:
        quiet.append(QuietInterval("lunch", Span(lunch, lunch + minutes(30))))
    caps: list[Budget] = [
        budgets.Performances(rng.choice([3, 4]), HOUR, because="fair rule"),
        budgets.Sounding(minutes(15), HOUR, because="fair rule"),
    ]
    if warm:
        caps.append(budgets.Heat(minutes(25), 21, 8, 45))
    signboard = Signboard(FAIR, name, "Figure", ("en",), LONDON)
    wished = wishes.Wishes(prefer_minutes=(0, 30, 15, 45))
    hours = Span(at(10), at(17))
    return Day(
        signboard, date(2027, 2, 13), hours, pieces, tuple(quiet), minutes(6), tuple(caps), wished
    )


def a_fair(count: int, seed: int = 1) -> HallDay:
    """So many stalls in rows, each bound by what it may be heard with at every other."""
    rng, wide = Random(seed), ceil(sqrt(count))
    places = [Place(APART_M * (n % wide), APART_M * (n // wide)) for n in range(count)]
    stalls = [a_stall(f"Stall {n + 1}", rng) for n in range(count)]
    days = []
    for here, day in zip(places, stalls, strict=True):
        heard = tuple(
            budgets.Noise(
                LOUD_DBA, budgets.Neighbour(other.signboard.stall, here.distance_m(there)), HOUR
            )
            for there, other in zip(places, stalls, strict=True)
            if other is not day
        )
        days.append(replace(day, budgets=(*day.budgets, *heard)))
    return HallDay(
        FAIR,
        LONDON,
        date(2027, 2, 13),
        Span(at(10), at(17)),
        tuple(days),
        tuple(places),
        (Together(1, APART_M, "fair rule"),),
        (HallNoise(LOUD_DBA, HOUR, because="fair rule"),),
    )


@dataclass(frozen=True)
class Reached:
    """Total worth, what it cannot pass, and the seconds spent."""

    worth: float
    bound: float
    seconds: float

    @property
    def gap(self) -> float:
        return (self.bound - self.worth) / self.bound

    def __str__(self) -> str:
        return f"{self.worth:g} of at most {self.bound:g} ({self.gap:.1%}) in {self.seconds:.0f} s"


class Peer:
    """The rules as CP-SAT's booleans, but for noise; total worth is wanted."""

    def __init__(self, hall: HallDay) -> None:
        self.model = cp_model.CpModel()
        made = [self._stall(day) for day in hall.days]
        for one, here in enumerate(hall.places):
            for other in range(one):
                if any(rule.binds(here, hall.places[other]) for rule in hall.together):
                    self._apart([*made[one], *made[other]])
        self.model.maximize(sum(var for mine in made for _, var in mine))

    def _apart(self, made: list[tuple[Performance, cp_model.IntVar]]) -> None:
        sounds = [
            self.model.new_optional_fixed_size_interval_var(
                round(one.starts.timestamp()), one.piece.lasts.seconds, var, ""
            )
            for one, var in made
        ]
        self.model.add_no_overlap(sounds)

    def _stall(self, day: Day) -> list[tuple[Performance, cp_model.IntVar]]:
        grid = [day.hours.start + minutes(5 * n) for n in range(day.hours.length // minutes(5))]
        made = [
            (one, self.model.new_bool_var(""))
            for one in (Performance(start, piece) for start in grid for piece in day.pieces)
            if one.ends <= day.hours.end
            and not any(quiet.forbidden.meets(one.span) for quiet in day.quiet)
        ]
        engaged = [
            self.model.new_optional_fixed_size_interval_var(
                round(one.starts.timestamp()),
                round((one.piece.lasts + day.rest_after(one.piece)).total_seconds()),
                var,
                "",
            )
            for one, var in made
        ]
        self.model.add_no_overlap(engaged)
        for budget in day.budgets:
            if not isinstance(budget, budgets.Noise):
                self._budget(day, budget, made)
        return made

    def _budget(
        self, day: Day, budget: Budget, made: list[tuple[Performance, cp_model.IntVar]]
    ) -> None:
        def since(moment: datetime) -> float:
            return (moment - day.hours.start).total_seconds()

        spans = [(since(one.starts), since(one.ends), budget.spend(one.piece)) for one, _ in made]
        match budget.drain:
            case Window(width):
                wide = width.total_seconds()
                for mark in {s for s, _, _ in spans} | {e - wide for _, e, _ in spans}:
                    self._row(
                        made,
                        [
                            spend.at_start * (mark <= s < mark + wide)
                            + spend.per_second * max(0.0, min(e, mark + wide) - max(s, mark))
                            for s, e, spend in spans
                        ],
                        budget.limit,
                    )
            case Leak(constant):
                slow = constant.total_seconds()
                rest = budget.resting * slow
                for mark in {e for _, e, _ in spans}:
                    self._row(
                        made,
                        [
                            (spend.per_second - budget.resting)
                            * slow
                            * (exp(-max(0.0, mark - e) / slow) - exp(-max(0.0, mark - s) / slow))
                            for s, e, spend in spans
                        ],
                        budget.limit - rest - (budget.initial - rest) * exp(-mark / slow),
                    )

    def _row(
        self, made: list[tuple[Performance, cp_model.IntVar]], spent: list[float], limit: float
    ) -> None:
        whole = [floor(one / limit * SCALE) for one in spent]
        if sum(whole) > SCALE:
            made_ = [var for _, var in made]
            self.model.add(cp_model.LinearExpr.weighted_sum(made_, whole) <= SCALE)

    def reached(self, limit: float) -> Reached | None:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = WORKERS
        solver.parameters.max_time_in_seconds = limit
        found = solver.solve(self.model)
        if found not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        return Reached(solver.objective_value, solver.best_objective_bound, solver.wall_time)


def planned(hall: HallDay, limit: float) -> HallPlan:
    found = plan_hall(hall, limit=limit, monotonic=time.monotonic, workers=WORKERS)
    assert isinstance(found, HallPlan)
    assert broken_in_hall(hall, found.performances) == ()
    return found


def told(plan: HallPlan) -> str:
    """Every level, as the plan fulfils it."""
    return "; ".join(
        f"{level.name} {level.value:.4g}"
        + (" proven" if level.proven else f" (bound {level.bound:.4g})")
        for level in plan.levels
    )


def worth_of(plan: HallPlan) -> Reached:
    level = next(level for level in plan.levels if level.name is HallWish.WORTH)
    return Reached(level.value, level.bound, plan.seconds)


def beside_cp_sat(hall: HallDay, limit: float) -> str:
    found = Peer(hall).reached(limit)
    return f"CP-SAT: worth {found}" if found else f"CP-SAT: no plan in {limit:g} s"


def rows() -> Iterator[Row]:
    for count, limit, target in ((10, 20.0, 0.0), (60, 30.0, 1.0), (200, 120.0, 2.0)):
        yield from rows_of(count, limit, target, peer=count <= 60)
    yield from rows_of(600, 300.0, 3.0, peer=False)
    yield from demo_rows(30.0)


def demo_rows(limit: float) -> Iterator[Row]:
    """How near the demo fair's waits come to the shortest that the levels before leave."""
    fair = load_fair(Path(__file__).parents[2] / "config" / "osierholt-fair.yaml")
    hall = fair.hall(date(2027, 2, 13))
    assert hall is not None
    begun = time.process_time()
    plan = planned(hall, limit)
    spent = time.process_time() - begun
    wait = next(level for level in plan.levels if level.name is HallWish.WAIT)
    beside = f"of the processor {spent:.0f} s; {told(plan)}"
    yield Row(f"demo fair, {limit:g} s: waits", 100 * wait.gap, "% gap", 1.0, beside)


def rows_of(count: int, limit: float, target: float, *, peer: bool) -> Iterator[Row]:
    hall = a_fair(count)
    begun = time.process_time()
    plan = planned(hall, limit)
    spent = time.process_time() - begun
    beside = f"worth {worth_of(plan)}, of the processor {spent:.0f} s; {told(plan)}"
    if peer:
        beside += f"; {beside_cp_sat(hall, limit)}"
    yield Row(
        f"hall of {count} stalls, {limit:g} s", 100 * worth_of(plan).gap, "% gap", target, beside
    )
    open_ = ", ".join(level.name for level in plan.levels if not level.proven)
    yield Row(
        f"hall of {count} stalls: done after",
        plan.seconds,
        "s",
        2.0 if count == 10 else limit,
        f"not proven: {open_ or 'none'}",
    )
