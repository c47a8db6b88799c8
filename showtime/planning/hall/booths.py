"""Each stall as the joint planner sees it: the choices worth looking at, and its own rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from showtime.fair import Day, Piece
from showtime.fair.budgets import Budget, Noise
from showtime.fair.hall import HallDay
from showtime.planning.choices import day_task
from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.limits import Limits, limits
from showtime.planning.moments import as_instant, ticks
from showtime.planning.rows import PackedRows
from showtime.planning.rulebook import Need, fixed_needs
from showtime.planning.task import Task


@dataclass(frozen=True)
class Booth:
    """One stall: its task, all its rules as rows, and what its choices are worth.

    `allowed` are the choices that may be made; of them `fewer` are enough where it does not matter
    how loud they are. `opens` is its opening since the hall's (microseconds), `first` the number of
    its first choice among all of the hall's. `power` tells for each choice how loud it sounds: 1
    for 0 dBA at 1 m.
    """

    number: int
    task: Task
    needs: tuple[Need, ...]
    rows: PackedRows
    allowed: Ints
    fewer: Ints
    worth: Floats
    power: Floats
    opens: int
    first: int

    def __len__(self) -> int:
        return len(self.task.choices)

    @property
    def choices(self) -> Ints:
        """The numbers of its choices that may be made, among all of the hall's."""
        return self.allowed + self.first

    @property
    def unheard(self) -> Ints:
        """Of them, those that are enough where noise does not matter."""
        return self.fewer + self.first


def booths(hall: HallDay, every_piece: bool = False) -> list[Booth]:
    """The hall's stalls, their choices numbered through.

    Without `every_piece` only with pieces for which no other does as well in every way.
    """
    found: list[Booth] = []
    first = 0
    for number, day in enumerate(hall.days):
        booth = _booth(hall, number, day, first, every_piece)
        found.append(booth)
        first += len(booth)
    return found


def _booth(hall: HallDay, number: int, day: Day, first: int, every_piece: bool) -> Booth:
    lean = replace(day, budgets=_nearest_alone(day.budgets, day.pieces))
    task = day_task(lean)
    needs = fixed_needs(task)
    needed = [[(need.at, piece) for piece in need.pieces] for need in needs]
    if not every_piece:
        wanted = _worthwhile(task, needed, bool(hall.noise))
        task = task.with_choices(task.choices.taken(wanted))
    task = task.needing(needed)
    ruled = limits(task)
    starts = [as_instant(day, start) for start in task.choices.starts.tolist()]
    power = [_power(task.pieces[piece]) for piece in task.choices.piece.tolist()]
    return Booth(
        number,
        task,
        needs,
        _lean(ruled, len(task.choices)),
        np.flatnonzero(~ruled.barred),
        np.flatnonzero(~ruled.barred & (every_piece | _worthwhile(task, needed, heard=False))),
        np.array([day.wishes.worth(start) for start in starts], dtype=np.float64),
        np.array(power, dtype=np.float64),
        ticks(day.hours.start - hall.hours.start),
        first,
    )


def _power(piece: Piece) -> float:
    return 0.0 if piece.level_dba is None else float(10 ** (piece.level_dba / 10))


def _nearest_alone(budgets: Sequence[Budget], pieces: Sequence[Piece]) -> tuple[Budget, ...]:
    """Of a stall's noise at many others only that where it is nearest to the same kind of limit.

    All of them weigh the same sounds, each by one factor, so the strictest says it all. And where
    the loudest piece could sound without end, nothing needs to be said.
    """
    loudest = max((piece.level_dba or -np.inf for piece in pieces), default=-np.inf)
    kept: list[Budget] = []
    strictest: dict[tuple[object, bool], tuple[float, Noise]] = {}
    for budget in budgets:
        if not isinstance(budget, Noise):
            kept.append(budget)
            continue
        kind = (budget.over, budget.whole_day)
        share = budget.at.level_dba(0.0) - budget.limit_dba
        if kind not in strictest or share > strictest[kind][0]:
            strictest[kind] = share, budget
    binding = (noise for _, noise in strictest.values() if loudest > _at_limit(noise))
    return (*kept, *binding)


def _at_limit(noise: Noise) -> float:
    """The level at 1 m that is heard there with what is the limit, less a hair."""
    return noise.limit_dba - noise.at.level_dba(0.0) - 1e-6


def _worthwhile(task: Task, needed: Sequence[Sequence[tuple[int, int]]], heard: bool) -> Truths:
    """Choices without those for which another piece at the same start does as well in every way.

    Worth, waits and round times tell starts apart, not pieces: a piece that is neither shorter nor
    spends less of anything is not looked at.
    """
    better = _dominating(task, heard)
    pairs = task.choices.pairs()
    there = set(pairs)
    must = {those[0] for those in needed if len(those) == 1}
    return np.array(
        [
            (start, piece) in must or not any((start, other) in there for other in better[piece])
            for start, piece in pairs
        ],
        dtype=np.bool_,
    )


def _dominating(task: Task, heard: bool) -> list[list[int]]:
    """Per piece, those that do as well as it in every way; of equals the first."""
    count = len(task.pieces)
    lasts = np.array([ticks(piece.lasts) for piece in task.pieces])
    measures = [lasts, task.engages]
    for gauge in task.gauges:
        # A piece that spends less than rest does is welcome to last: only plain ones compare.
        least = gauge.rates.beyond_rest.min(initial=0.0)
        measures += [gauge.rates.at_start, gauge.rates.beyond_rest]
        if least < 0 or gauge.rates.at_start.min(initial=0.0) < 0:
            measures += [np.arange(count), -np.arange(count)]
    if heard:
        measures.append(np.array([_power(piece) for piece in task.pieces]))
    spent = np.array(measures, dtype=np.float64)

    def does(other: int, piece: int) -> bool:
        less, more = spent[:, other], spent[:, piece]
        return bool((less <= more).all() and ((less < more).any() or other < piece))

    return [
        [other for other in range(count) if other != piece and does(other, piece)]
        for piece in range(count)
    ]


def _lean(ruled: Limits, count: int) -> PackedRows:
    """All rows over the choices that may be made, each once; those that can bind at all."""
    rows = ruled.always.joined(ruled.often)
    open_ = ~ruled.barred
    factor = np.where(open_[rows.column], rows.factor, 0.0)
    most = np.bincount(rows.row, np.maximum(factor, 0.0), len(rows))
    idle = (most <= rows.upper) & ~np.isfinite(rows.lower)
    kept = np.zeros(len(rows), dtype=np.bool_)
    seen: set[bytes] = set()
    begins = np.append(rows.begins, len(rows.row))
    for row in np.flatnonzero(~idle):
        part = slice(begins[row], begins[row + 1])
        key = b"".join(
            each.tobytes()
            for each in (rows.column[part], factor[part], rows.lower[row], rows.upper[row])
        )
        kept[row] = key not in seen
        seen.add(key)
    return rows.only(kept).over(np.arange(count), count)
