"""How long planning takes, with every level proven, beside a second solver on the same days."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from showtime.fair import Day, Performance, Piece, Plan, budgets
from showtime.planning import fit, plan, replan
from tests.bench.row import Row, seconds
from tests.outside.test_second_solver import second_opinion
from tests.planning.conftest import CART, demo, minutes


def three_pieces(day: Day) -> Day:
    """A third, quieter piece, a more patient neighbour, and motors that get warmer."""
    kept = tuple(
        budget for budget in day.budgets if not isinstance(budget, budgets.Noise | budgets.Heat)
    )
    return replace(
        day,
        pieces=(*day.pieces, Piece("Nine Lanterns", minutes(3), minutes(1), 70, 30, 1.5)),
        budgets=(
            *kept,
            budgets.Noise(66, CART, minutes(60)),
            budgets.Heat(minutes(25), 21, 8, 42),
        ),
    )


def planned(day: Day) -> Plan:
    found = plan(day, monotonic=time.monotonic)
    assert isinstance(found, Plan)
    assert all(level.proven for level in found.levels)
    return found


def beside_cp_sat(day: Day, ours: float) -> str:
    begun = time.perf_counter()
    values = second_opinion(day)
    taken = time.perf_counter() - begun
    if values is None:
        return f"CP-SAT not done after {taken:.0f} s, {taken / ours:.0f} times as long"
    return f"CP-SAT {taken:.2f} s, {taken / ours:.0f} times as long"


def rows() -> Iterator[Row]:
    days = [
        ("demo day, all levels proven", demo(), 0.4, True),
        ("demo day, 12 hours", demo(closes=22), 1.0, True),
        ("demo day, three pieces", three_pieces(demo()), 0.4, True),
        ("demo day, three pieces, 12 hours", three_pieces(demo(closes=22)), 1.0, False),
        ("demo day, 1-minute grid", demo(1), 4.0, False),
        ("demo day, three pieces, 1-minute grid", three_pieces(demo(1)), 4.0, False),
    ]
    for name, day, target, peer in days:
        taken = seconds(lambda day=day: planned(day))
        beside = beside_cp_sat(day, taken) if peer else ""
        yield Row(f"plan: {name}", taken, "s", target, beside)
    yield from live_rows(demo())


def live_rows(day: Day) -> Iterator[Row]:
    earlier = planned(day).performances
    bells, dance = day.pieces
    opens = day.hours.start
    wanted = Performance(opens + timedelta(hours=4, minutes=5), dance)
    yield Row(
        "fit: one more dance, others make way",
        seconds(lambda: fit(day, wanted, earlier, monotonic=time.monotonic)),
        "s",
        0.2,
    )
    now = opens + timedelta(hours=2, minutes=41)
    late = timedelta(seconds=13.25)
    played = [replace(one, starts=one.starts + late) for one in earlier if one.starts < now]
    promised = [Performance(opens + timedelta(hours=3, minutes=31), bells)]
    yield Row(
        "replan: a day under way, each start 13.25 s late",
        seconds(
            lambda: replan(
                day,
                now=now,
                played=played,
                promised=promised,
                near=earlier,
                monotonic=time.monotonic,
            )
        ),
        "s",
        0.4,
    )
