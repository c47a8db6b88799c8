"""What would have to move in a hall so that one more performance finds its place.

One stall after the other is fitted anew beside what the others then play: the stall's own
performances first, then those of neighbours who stand in the way. Each is fitted exactly, with as
few and as short moves as it allows; who gives way first, and how far, is tried in turn. So what is
found keeps every rule, but what is not found may be there all the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import combinations, islice, permutations

from showtime.fair import Day, Performance, Piece, QuietInterval
from showtime.planning.choices import day_task
from showtime.planning.clash import Clash
from showtime.planning.fitting import fit
from showtime.planning.hall.handout import Taken
from showtime.planning.hall.reasons import Beside, Lists
from showtime.planning.hall.too_loud import TooLoud, too_loud
from showtime.planning.hall.verifier import crowded
from showtime.planning.model import Model
from showtime.planning.moments import as_instant, grid_starts
from showtime.planning.moving import as_near_as_possible
from showtime.planning.rulebook import Rulebook, fixed_needs
from showtime.planning.search import settled
from showtime.planning.verifier import broken

Remaining = Callable[[], float]

_ROUNDS = 12
"""So often somebody may give way in one try."""

_ORDERS = 6
"""In so many orders the neighbours are asked to give way."""


@dataclass(frozen=True)
class Room:
    """Where room is made: a joint plan, and what one of its stalls wants to play beside it."""

    beside: Beside
    stall: int
    wanted: Performance
    remaining: Remaining

    @property
    def day(self) -> Day:
        return self.beside.hall.days[self.stall]

    @property
    def name(self) -> str:
        return self.beside.hall.names[self.stall]

    def forbidden_by_own_rules(self) -> tuple[str, ...] | None:
        """The stall's own rules that forbid it whatever anybody plays; None: they do not."""
        if self.wanted.piece not in self.day.pieces:
            return (f"no piece {self.wanted.piece.name} is known",)
        left = max(0.0, self.remaining())
        fitted = fit(self.day, self.wanted, (), monotonic=lambda: -self.remaining(), limit=left)
        if not isinstance(fitted, Clash):
            return None
        return tuple(rule.why for rule in fitted.rules if rule.rule != "wanted")

    def too_loud_alone(self) -> bool:
        """True when it would be too loud even if the stall played nothing else."""
        alone = self.beside.with_list(self.stall, ())
        return next(alone.too_loud(self.stall, self.wanted), None) is not None

    def fixed_in_the_way(self) -> tuple[str, ...]:
        """What the keepers of others have fixed, as far as it cannot sound beside it."""
        pinned = [
            [
                Performance(fixed.at, day.piece(fixed.piece) if fixed.piece else _shortest(day))
                for fixed in day.wishes.fixed
                if fixed.piece is None or fixed.piece in [piece.name for piece in day.pieces]
            ]
            for day in self.beside.hall.days
        ]
        pinned[self.stall] = []
        found = Beside(self.beside.hall, pinned).too_many(self.stall, self.wanted)
        return tuple(reason.why for reason in found)

    def by_own(self) -> Lists | None:
        """All lists when only the stall's own performances move; None: none were found."""
        quiet = Taken(self.beside.hall, self.beside.lists).quiet_for(self.stall)
        fitted = self._own(quiet)
        if fitted is None:
            return None
        lists = self.beside.with_list(self.stall, fitted).lists
        if self._new_din(lists) is None:
            return lists
        return self._giving_way([self.stall], 2, may_be_left_out=True)

    def by_neighbours(self, named: Sequence[int]) -> Lists | None:
        """All lists when these stalls may move theirs, none having fewer; None: none found."""
        lists = self._giving_way(named, 1, may_be_left_out=False)
        if lists is not None:
            return lists
        for order in islice(permutations(named), _ORDERS):
            lists = self._in_order(order)
            if lists is not None and self._keeps_all(lists):
                return lists
            if self.remaining() <= 0:
                return None
        return None

    def _own(self, quiet: Sequence[QuietInterval]) -> tuple[Performance, ...] | None:
        given = [one for one in self.beside.lists[self.stall] if one.piece in self.day.pieces]
        day = replace(self.day, quiet=(*self.day.quiet, *quiet))
        left = max(0.0, self.remaining())
        fitted = fit(day, self.wanted, given, monotonic=lambda: -self.remaining(), limit=left)
        return None if isinstance(fitted, Clash) else fitted.performances

    def _giving_way(
        self, stalls: Sequence[int], most: int, *, may_be_left_out: bool
    ) -> Lists | None:
        """At most so many performances of these stalls go elsewhere, the nearest first."""
        given = [(stall, one) for stall in stalls for one in self.beside.lists[stall]]
        given.sort(key=lambda each: abs(each[1].starts - self.wanted.starts))
        for going in [those for count in range(most) for those in combinations(given, count + 1)]:
            if self.remaining() <= 0:
                return None
            beside = self.beside
            for stall, one in going:
                beside = beside.without(stall, one)
            if beside.fits(self.stall, self.wanted):
                placed = self._placed(beside.with_one(self.stall, self.wanted), going)
                if may_be_left_out or placed.count == self.beside.count + 1:
                    return placed.lists
        return None

    def _placed(self, beside: Beside, going: Sequence[tuple[int, Performance]]) -> Beside:
        """Each of `going` as near to its old place as it fits; left out where it fits nowhere."""
        for stall, one in going:
            near = starts_near(beside.hall.days[stall], one.starts)
            tries = [Performance(start, one.piece) for start in near if start != one.starts]
            fitting = (it for it in tries if self.remaining() > 0 and beside.fits(stall, it))
            found = next(fitting, None)
            beside = beside if found is None else beside.with_one(stall, found)
        return beside

    def _in_order(self, order: Sequence[int]) -> Lists | None:
        hall, lists = self.beside.hall, list(self.beside.lists)
        staying = [() if one in order else given for one, given in enumerate(lists)]
        fitted = self._own(Taken(hall, staying).quiet_for(self.stall))
        if fitted is None or len(fitted) < len(lists[self.stall]):
            return None
        lists[self.stall] = fitted
        silent: dict[int, list[QuietInterval]] = {one: [] for one in order}
        giving = list(order)
        for _ in range(_ROUNDS):
            for one in giving:
                taken = Taken(hall, lists).quiet_for(one)
                again = _fitted(hall.days[one], [*taken, *silent[one]], lists[one], self.remaining)
                if again is None:
                    return None
                lists[one] = again
            din = self._new_din(tuple(lists))
            if din is None:
                return tuple(lists)
            giving = [one for one in order if hall.names[one] in din.to_blame(self.name)][:1]
            if not giving or self.remaining() <= 0:
                return None
            silent[giving[0]].append(QuietInterval("too loud", din.worst))
        return None

    def _new_din(self, lists: Lists) -> TooLoud | None:
        """Where it is too loud as it was not before."""
        already = set(too_loud(self.beside.hall, self.beside.lists))
        return next((it for it in too_loud(self.beside.hall, lists) if it not in already), None)

    def _keeps_all(self, lists: Lists) -> bool:
        """Nothing is broken that was not before. Who has not moved anything breaks nothing new."""
        hall, before = self.beside.hall, self.beside.lists
        own = [
            Counter(broken(day, after)) - Counter(broken(day, mine))
            for day, mine, after in zip(hall.days, before, lists, strict=True)
            if mine != after
        ]
        many = Counter(crowded(hall, lists)) - Counter(crowded(hall, before))
        return not any(own) and not many and self._new_din(lists) is None


def starts_near(day: Day, moment: datetime) -> list[datetime]:
    """All starts on the day's grid, the nearest to `moment` first."""
    starts = [as_instant(day, start) for start in grid_starts(day)]
    return sorted(starts, key=lambda start: (abs(start - moment), start))


def _shortest(day: Day) -> Piece:
    return min(day.pieces, key=lambda piece: piece.lasts)


def _fitted(
    day: Day, quiet: Sequence[QuietInterval], near: Sequence[Performance], remaining: Remaining
) -> tuple[Performance, ...] | None:
    """All of `near`, moved as little as can be so that none sounds in `quiet`; None: not all."""
    if any(one.piece not in day.pieces for one in near):
        return None
    if not any(one.span.meets(each.span) for one in near for each in quiet):
        return tuple(near)
    task = day_task(replace(day, quiet=(*day.quiet, *quiet)))
    needs = fixed_needs(task)
    standing = Rulebook(task).standing(needs)
    if standing is None:
        return None
    model = Model(task.needing([(need.at, piece) for piece in need.pieces] for need in needs))
    aim = as_near_as_possible(model.task, near)
    best, _ = settled(model, [aim], remaining, task.numbers(standing))
    found = task.performances(best)
    return found if len(found) == len(near) else None
