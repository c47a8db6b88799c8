"""Rows of a linear programme: collected one after another, then packed into arrays."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from showtime.planning.gauges import Floats, Ints, Truths

# In units of a row's limit; what passes for this reason is caught when a plan is checked.
NOTHING = 1e-6


@dataclass
class Rows:
    """Rows of a linear programme, one after another: lower <= factors . columns <= upper."""

    lengths: list[Ints] = field(default_factory=list)
    columns: list[Ints] = field(default_factory=list)
    factors: list[Floats] = field(default_factory=list)
    lower: list[Floats] = field(default_factory=list)
    upper: list[Floats] = field(default_factory=list)

    def __len__(self) -> int:
        return sum(len(block) for block in self.lengths)

    def add(
        self,
        columns: Ints,
        factors: Floats | float = 1.0,
        *,
        lower: float = -np.inf,
        upper: float = np.inf,
    ) -> None:
        """One row."""
        self.lengths.append(np.array([len(columns)]))
        self.columns.append(columns)
        self.factors.append(np.broadcast_to(np.asarray(factors, dtype=np.float64), columns.shape))
        self.lower.append(np.array([lower]))
        self.upper.append(np.array([upper]))

    def add_matrix(self, matrix: Floats, upper: Floats) -> None:
        """A row for each row of a full matrix over the first columns, none above `upper`.

        Rows are in units of about their limit. Factors that add almost nothing to it spoil the
        solver's arithmetic and are dropped, which can only let too much through.
        """
        row, column = np.nonzero((matrix > NOTHING) | (matrix < 0))
        self.lengths.append(np.bincount(row, minlength=len(matrix)))
        self.columns.append(column)
        self.factors.append(matrix[row, column])
        self.lower.append(np.full(len(matrix), -np.inf))
        self.upper.append(upper)

    def add_entries(self, row: Ints, column: Ints, factor: Floats, equal: Floats) -> None:
        """Rows of equal sides from entries in any order."""
        order = np.argsort(row, kind="stable")
        self.lengths.append(np.bincount(row, minlength=len(equal)))
        self.columns.append(column[order])
        self.factors.append(factor[order])
        self.lower.append(equal)
        self.upper.append(equal)

    def add_packed(self, rows: PackedRows) -> None:
        self.lengths.append(np.bincount(rows.row, minlength=len(rows)))
        self.columns.append(rows.column)
        self.factors.append(rows.factor)
        self.lower.append(rows.lower)
        self.upper.append(rows.upper)

    def packed(self) -> PackedRows:
        ints, floats = np.zeros(0, np.int64), np.zeros(0)
        lengths = np.concatenate([ints, *self.lengths])
        return PackedRows(
            np.repeat(np.arange(len(lengths)), lengths),
            np.concatenate([ints, *self.columns]),
            np.concatenate([floats, *self.factors]),
            np.concatenate([floats, *self.lower]),
            np.concatenate([floats, *self.upper]),
        )


@dataclass(frozen=True)
class PackedRows:
    """The same as arrays of entries; `row` never falls."""

    row: Ints
    column: Ints
    factor: Floats
    lower: Floats
    upper: Floats

    @property
    def begins(self) -> Ints:
        return np.searchsorted(self.row, np.arange(len(self.lower)))

    def __len__(self) -> int:
        return len(self.lower)

    def over(self, kept: Ints, columns: int) -> PackedRows:
        """The rows over the `kept` of so many columns alone, numbered anew."""
        number = np.full(columns, -1, dtype=np.int64)
        number[kept] = np.arange(len(kept))
        column = number[self.column]
        there = column >= 0
        return PackedRows(
            self.row[there], column[there], self.factor[there], self.lower, self.upper
        )

    def only(self, which: Truths) -> PackedRows:
        """Some of the rows."""
        number = np.cumsum(which) - 1
        there = which[self.row]
        return PackedRows(
            number[self.row[there]],
            self.column[there],
            self.factor[there],
            self.lower[which],
            self.upper[which],
        )

    def joined(self, other: PackedRows) -> PackedRows:
        return PackedRows(
            np.concatenate([self.row, other.row + len(self)]),
            np.concatenate([self.column, other.column]),
            np.concatenate([self.factor, other.factor]),
            np.concatenate([self.lower, other.lower]),
            np.concatenate([self.upper, other.upper]),
        )

    def levels(self, values: Floats) -> Floats:
        """Per row, the sum of its factors times the columns' values."""
        total = np.bincount(self.row, self.factor * values[self.column], len(self))
        return np.asarray(total, dtype=np.float64)

    def weighed(self, weights: Floats, columns: int) -> Floats:
        """Per column, the sum of its factors times its rows' weights."""
        total = np.bincount(self.column, self.factor * weights[self.row], columns)
        return np.asarray(total, dtype=np.float64)
