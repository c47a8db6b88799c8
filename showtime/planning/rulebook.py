"""All rules of a day by name, each able to say whether some performances break it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from showtime.fair import Day, QuietInterval
from showtime.fair.wishes import Fixed
from showtime.planning.clash import ClashingRule
from showtime.planning.gauges import Gauge, Pair
from showtime.planning.limits import exceeded, in_quiet, overlapping
from showtime.planning.moments import as_instant, since_opening
from showtime.planning.task import Task, playings
from showtime.planning.wallclock import clock, length

Chosen = tuple[Pair, ...]
Breaks = Callable[[Task], bool]


@dataclass(frozen=True)
class Need:
    """A performance that must be: its start, and the numbers of the pieces that would do."""

    told: ClashingRule
    at: int
    pieces: tuple[int, ...]


class Rulebook:
    """The rules of one task. What is asked for is judged beside the task's facts."""

    def __init__(self, task: Task) -> None:
        self._task = task
        self._known: dict[Chosen, frozenset[int]] = {}
        ruled = list(_rules(task))
        self.told = [told for told, _ in ruled]
        self._breaks = [breaks for _, breaks in ruled]

    def broken(self, chosen: Chosen) -> frozenset[int]:
        """The numbers of the rules that these performances break."""
        if chosen not in self._known:
            task = self._task.with_choices(playings(chosen, self._task.pieces))
            self._known[chosen] = frozenset(
                number for number, breaks in enumerate(self._breaks) if breaks(task)
            )
        return self._known[chosen]

    def standing(
        self, needs: Sequence[Need], rules: Collection[int] | None = None
    ) -> Chosen | None:
        """The needs and nothing else, with pieces that break none of `rules` (None: of all).

        None when there are no such pieces. A performance more seldom mends a broken rule (only
        a piece that spends less than rest does could), so nearly always none means impossible.
        """
        held = range(len(self.told)) if rules is None else rules

        def extended(chosen: Chosen, left: Sequence[Need]) -> Chosen | None:
            if self.broken(chosen).intersection(held):
                return None
            if not left:
                return chosen
            tries = (
                extended(tuple(sorted({*chosen, (left[0].at, piece)})), left[1:])
                for piece in left[0].pieces
            )
            return next((found for found in tries if found is not None), None)

        return extended((), needs)


def fixed_needs(task: Task) -> tuple[Need, ...]:
    """What the keeper has fixed."""
    day = task.day
    names = [piece.name for piece in day.pieces]
    return tuple(
        Need(
            ClashingRule("fixed", _fixed_words(day, fixed), fixed.where),
            since_opening(day, fixed.at),
            tuple(range(len(names))) if fixed.piece is None else (names.index(fixed.piece),),
        )
        for fixed in day.wishes.fixed
    )


def _fixed_words(day: Day, fixed: Fixed) -> str:
    words = f"{fixed.piece or 'a performance'} at {clock(day, fixed.at)}"
    return f"{words}: {fixed.why}" if fixed.why else words


def _rules(task: Task) -> list[tuple[ClashingRule, Breaks]]:
    day = task.day
    opens, closes = clock(day, day.hours.start), clock(day, day.hours.end)
    grid = f"starts fall on every {length(day.wishes.start_on)} of the hour"
    found: list[tuple[ClashingRule, Breaks]] = [
        (ClashingRule("opens", f"open from {opens}", day.where), _before_opening),
        (ClashingRule("closes", f"open until {closes}", day.where), _after_closing),
        (ClashingRule("grid", grid, day.where), _off_grid),
        (ClashingRule("gap", _gap_words(day), day.where), overlapping),
    ]
    found += [
        (ClashingRule("quiet", quiet.why, quiet.where), _sounding_in(quiet)) for quiet in day.quiet
    ]
    for gauge in task.gauges:
        budget = gauge.budget
        found.append((ClashingRule(budget.rule, budget.why, budget.where), _exceeding(gauge)))
    if task.most is not None:
        why = f"wished for: no more than {day.wishes.most} performances"
        where = day.wishes.most_where
        found.append((ClashingRule("wishes.performances", why, where), _too_many))
    return found


def _before_opening(task: Task) -> bool:
    return bool((task.choices.starts < 0).any())


def _after_closing(task: Task) -> bool:
    return bool((task.choices.ends > task.closes).any())


def _off_grid(task: Task) -> bool:
    starts = set(task.choices.starts.tolist()) - task.said
    return not all(task.day.on_grid(as_instant(task.day, start)) for start in starts)


def _sounding_in(quiet: QuietInterval) -> Breaks:
    return lambda task: bool(in_quiet(task, (quiet,)).any())


def _exceeding(gauge: Gauge) -> Breaks:
    return lambda task: exceeded(task, gauge)


def _too_many(task: Task) -> bool:
    return task.most is not None and len(task.choices) > task.most


def _gap_words(day: Day) -> str:
    rests = {piece.name: length(day.rest_after(piece)) for piece in day.pieces}
    if len(set(rests.values())) == 1:
        return f"at least {next(iter(rests.values()))} between performances"
    return "at least " + ", ".join(f"{rest} after {name}" for name, rest in rests.items())
