"""Which of the starts that must be can be, when they cannot all."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from showtime.fair import Performance
from showtime.planning.clash import ClashingRule
from showtime.planning.gauges import Pair
from showtime.planning.goals import Aim, as_many_of
from showtime.planning.model import Model
from showtime.planning.moments import since_opening
from showtime.planning.rulebook import Chosen, Need, Rulebook
from showtime.planning.search import settled
from showtime.planning.task import Task, playings
from showtime.planning.wallclock import clock


def promise_needs(task: Task, promised: Iterable[Performance]) -> list[Need]:
    """A need for each start that was said, in order, with the piece that was said."""
    said: dict[int, Need] = {}
    for performance in sorted(promised, key=lambda one: one.starts):
        words = f"promised at {clock(task.day, performance.starts)}"
        at = since_opening(task.day, performance.starts)
        need = Need(ClashingRule("promised", words), at, (task.pieces.index(performance.piece),))
        said.setdefault(at, need)
    return list(said.values())


def kept(
    task: Task, promises: Sequence[Need], fixed: Sequence[Need], remaining: Callable[[], float]
) -> tuple[list[Need], Chosen]:
    """The needs that are kept, and performances that fulfil just these.

    Promises come before what is fixed; of each as many as possible; of equally many, the earliest.
    A promised start is kept by any piece, if need be.
    """
    rulebook = Rulebook(task)
    every = [*promises, *fixed]
    standing = rulebook.standing(every)
    if standing is not None:
        return every, standing
    loose = [_with_any_piece(task, need) for need in promises]
    asked = _all_pairs([*loose, *fixed])
    only = task.with_choices(playings(asked.intersection(task.choices.pairs()), task.pieces))
    aims = [*_earliest(loose), as_many_of(_all_pairs(promises)), *_earliest(fixed)]
    first = only.numbers(_as_they_come(rulebook, every))
    best, _ = settled(Model(only), aims, remaining, first)
    chosen = tuple(only.choices.taken(best).pairs())
    return [need for need in (*loose, *fixed) if not _pairs(need).isdisjoint(chosen)], chosen


def _earliest(needs: Sequence[Need]) -> list[Aim]:
    each = [as_many_of(_pairs(need)) for need in needs]
    return [as_many_of(_all_pairs(needs)), *each]


def _as_they_come(rulebook: Rulebook, needs: Iterable[Need]) -> Chosen:
    taken: list[Need] = []
    found: Chosen = ()
    for need in needs:
        standing = rulebook.standing([*taken, need])
        if standing is not None:
            taken.append(need)
            found = standing
    return found


def _with_any_piece(task: Task, need: Need) -> Need:
    any_piece = dict.fromkeys([*need.pieces, *range(len(task.day.pieces))])
    return replace(need, pieces=tuple(any_piece))


def _pairs(need: Need) -> set[Pair]:
    return {(need.at, piece) for piece in need.pieces}


def _all_pairs(needs: Iterable[Need]) -> set[Pair]:
    return {pair for need in needs for pair in _pairs(need)}
