"""How short waits can be at least, or how round the times: bounds that hold for whole clusters.

The relaxation of a cluster's joint programme gives prices; for any prices the cost less the priced
rows' slack is a bound from below, and what is left to minimise falls into one path for each stall.
So the waits that the relaxation was never shown are bounded too, and so is every plan that has a
given start or wait: what costs more than a known plan need not be looked at again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from showtime.planning.gauges import Floats, Ints, Truths
from showtime.planning.hall.part import Found, Part, Terms
from showtime.planning.hall.quieter import rounded
from showtime.planning.hall.rearranging import Costs, Remaining
from showtime.planning.hall.search import Search
from showtime.planning.hall.strands import Strand, strands, waiting
from showtime.planning.hall.terms import at_least, worthiest_above
from showtime.planning.highs import Outcome, Programme, Relaxation
from showtime.planning.rows import PackedRows, Rows

FIRST = 2.0
"""Waits up to so many times the usual one are shown to the relaxation at first."""
MOST_AT_ONCE = 4000
TOLERATED = 1e-7


@dataclass(frozen=True)
class Ask:
    """Of these stalls: the shortest waits, or (`most` given) the roundest times beside those."""

    search: Search
    costs: Costs
    stalls: Sequence[int]
    most: float | None = None

    @property
    def step(self) -> float:
        return self.costs.measure.step if self.most is None else 1.0

    @property
    def known(self) -> Ints:
        chosen = self.search.chosen
        return chosen[np.isin(self.search.joint.stall[chosen], list(self.stalls))]

    def part(self) -> Part:
        none = np.zeros(0, np.int64)
        return Part(self.search.joint, self.stalls, none, also=self.known)

    def wanted(self, part: Part) -> Terms:
        """What plans have that are as good on the levels before; of some stalls, what follows."""
        search = self.search
        worth, least = search.worth, dict(enumerate(search.least.tolist()))
        others = np.setdiff1d(np.arange(len(search.alone.worth)), self.stalls)
        needed = float(worth[search.chosen].sum() - search.alone.worth[others].sum())
        rows = Rows()
        rows.add(np.arange(len(part.columns)), worth[part.columns], lower=needed - 1e-6)
        if len(others):
            rows.add_packed(at_least(part, least).packed())
            return Terms(np.zeros(0), rows=rows.packed())
        above = dict(enumerate(search.above.tolist()))
        asked = worthiest_above(part, worth, 1.0, least, above, search.many)
        if asked.rows is not None:
            rows.add_packed(asked.rows)
        return replace(asked, rows=rows.packed())

    def terms(self, part: Part, those: Sequence[Strand], asked: Terms) -> Terms:
        if self.most is None:
            return waiting(part, those, asked, step=self.step)
        ranks = self.costs.ranks[part.columns]
        return waiting(part, those, asked, ranks, self.most, self.step)

    def rounded(self, low: float) -> float:
        """What no plan costs less than, as plans cost whole steps."""
        return float(np.ceil(low / self.step - 1e-3) * self.step) if self.step else low


@dataclass(frozen=True)
class Low:
    """No plan costs less than `low`; `through` per strand (its choices, then its arcs), with it."""

    low: float
    part: Part
    every: list[Strand]
    through: list[Floats]


def lowest(ask: Ask, remaining: Remaining) -> Low | None:
    """By the relaxation, with the rows it runs against and the waits that could pay. None: no time.

    What is not dealt with when time runs out makes the bound weaker, not wrong.
    """
    part = ask.part()
    made, every, asked = part.made(ask.known), strands(part, ask.costs.measure), ask.wanted(part)
    active = [strand.usual(made, FIRST) for strand in every]
    best: Low | None = None
    while remaining() > 0:
        those = [strand.only(shown) for strand, shown in zip(every, active, strict=True)]
        terms = ask.terms(part, those, asked)
        priced = _priced(part, terms, remaining)
        if priced is None:
            return best
        rows, prices, reached = priced
        through, low = _low(ask, part, every, asked, rows, prices)
        if best is None or low >= best.low:
            best = Low(low, part, every, through)
        if not _shown(active, through, [len(s.mine) for s in every], reached):
            return best
    return best


def _shown(active: list[Truths], through: list[Floats], first: list[int], reached: float) -> bool:
    """Shows more waits to the relaxation; whether there were any."""
    hair = TOLERATED * max(1.0, abs(reached))
    grew = False
    for shown, costs, count in zip(active, through, first, strict=True):
        wanted = np.flatnonzero(~shown & (costs[count:] < reached - hair))
        wanted = wanted[np.argsort(costs[count:][wanted], kind="stable")][:MOST_AT_ONCE]
        shown[wanted] = True
        grew |= bool(len(wanted))
    return grew


def _priced(
    part: Part, terms: Terms, remaining: Remaining
) -> tuple[PackedRows, Floats, float] | None:
    """All rows with their prices, first those of the terms, once nothing more is too loud."""
    count = len(terms.cost)
    rows = (terms.rows or Rows().packed()).joined(part.packed)
    whole = np.zeros(count, np.int64)
    relaxation = Relaxation(Programme(terms.cost, np.zeros(count), np.ones(count), whole, rows))
    while True:
        outcome: Outcome = relaxation.solve(remaining())
        if outcome.values is None or not outcome.proven:
            return None
        values = outcome.values[: len(part.columns)]
        more = part.noisy(values)
        if not len(more):
            more = rounded(part, values)
        if not len(more):
            return rows, outcome.duals, float(terms.cost @ outcome.values)
        rows = rows.joined(more)
        part.packed = part.packed.joined(more)
        relaxation.add(more)


def _low(
    ask: Ask, part: Part, every: list[Strand], asked: Terms, rows: PackedRows, prices: Floats
) -> tuple[list[Floats], float]:
    """Per strand what plans cost at least with each choice and arc; and any plan."""
    count = len(part.columns)
    held = np.where(prices > 0, np.isfinite(rows.lower), np.isfinite(rows.upper))
    begins = 0 if asked.rows is None else len(asked.rows)
    ends = begins + sum(2 * (strand.flow.marks - 1) for strand in every)
    held[begins:ends] = False
    prices = np.where(held, prices, 0.0)
    sides = np.where(prices > 0, rows.lower, rows.upper)
    constant = float(prices @ np.where(prices == 0, 0.0, sides))
    weight = 1.0
    cost = np.zeros(count + asked.whole)
    if ask.most is not None:
        # The row that holds the waits comes right after the flows'; its factors are their costs.
        cost[:count] = ask.costs.ranks[part.columns]
        weight = 0.0
        there = rows.row == ends
        if there.any():
            of = rows.upper[ends] / ask.most if ask.most else 1.0
            weight = -float(prices[ends]) * of
    columns = int(rows.column.max(initial=0)) + 1
    left = cost - rows.weighed(prices, max(columns, len(cost)))[: len(cost)]
    constant += float(np.minimum(left[count:], 0.0).sum())
    paths = [
        strand.flow.cheapest(np.concatenate([left[strand.mine], weight * strand.cost]))
        for strand in every
    ]
    lows = [float(path[len(s.mine) :].min()) for s, path in zip(every, paths, strict=True)]
    low = constant + sum(lows)
    return [path + (low - mine) for path, mine in zip(paths, lows, strict=True)], low


def decided(ask: Ask, low: Low, reached: float, remaining: Remaining) -> Found:
    """The whole programme over what could be part of a plan that costs no more than `reached`.

    Its `least` holds for all plans, as far as it is not more than what was reached. `low` is used
    up by this.
    """
    hair = 0.01 * ask.step or TOLERATED * max(1.0, abs(reached))
    part = low.part
    kept = np.zeros(len(part.columns), dtype=np.bool_)
    known = ask.known
    for strand, through in zip(low.every, low.through, strict=True):
        kept[strand.mine] = through[: len(strand.mine)] <= reached + hair
    kept |= part.made(known)
    part.keep_only(kept)
    made = part.made(known)
    those = []
    for before, through, now in zip(
        low.every, low.through, strands(part, ask.costs.measure), strict=True
    ):
        wanted = _matched(before, through[len(before.mine) :], now) <= reached + hair
        those.append(now.only(wanted | (now.path(made) > 0)))
    terms = ask.terms(part, those, ask.wanted(part))
    return part.best(terms, remaining, known)


def _matched(before: Strand, through: Floats, now: Strand) -> Floats:
    """The bounds of a strand's arcs, for those of one with fewer choices."""
    table = np.full((before.flow.marks, before.flow.marks), np.inf)
    table[before.flow.source, before.flow.target] = through
    at = np.searchsorted(before.flow.along, now.flow.along)
    at[-1] = before.flow.marks - 1
    return np.asarray(table[at[now.flow.source], at[now.flow.target]])
