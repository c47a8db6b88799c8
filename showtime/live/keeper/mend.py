"""The rest of a disturbed day put in order at once, from the plan that it had.

The planner finds the best rest of the day beside the running day; until it has, this keeps
every rule and every promise that can be kept, by the verifier's judgement alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from showtime.fair import Day, Performance
from showtime.live.events import Slot
from showtime.live.state import DayState
from showtime.planning import Broken, broken

_ON_TIME = timedelta(seconds=1)
_FARTHEST = timedelta(hours=3)


def performed(state: DayState) -> tuple[Performance, ...]:
    """What has sounded so far, for as long as it did.

    A start within a second of its slot counts as on time.
    """
    found = []
    for played in state.played:
        late = abs(played.started - played.slot.starts) > _ON_TIME
        starts = played.started if late else played.slot.starts
        piece = state.day.piece(played.slot.piece)
        if played.interrupted and played.ended is not None:
            sounded = max(_ON_TIME, played.ended - starts)
            piece = replace(piece, lasts=min(piece.lasts, sounded))
        if played.overran > _ON_TIME:
            piece = replace(piece, lasts=piece.lasts + played.overran)
        found.append(Performance(starts, piece))
    return tuple(found)


def performances(day: Day, slots: Iterable[Slot]) -> tuple[Performance, ...]:
    """The slots with their pieces."""
    return tuple(Performance(slot.starts, day.piece(slot.piece)) for slot in slots)


def slots(coming: Iterable[Performance]) -> tuple[Slot, ...]:
    return tuple(sorted(Slot(p.starts, p.piece.name) for p in coming))


def breaks(day: Day, coming: Sequence[Performance]) -> frozenset[tuple[str, datetime]]:
    """The rules that these would break; a fixed performance that is missing is not counted."""
    return frozenset((b.rule, b.at) for b in broken(day, coming) if b.rule != "fixed")


def standing_in_the_way(
    day: Day, beside: Sequence[Performance], wanted: Performance
) -> list[Broken]:
    """The rules that `wanted` breaks and that are not broken without it."""
    already = breaks(day, beside)
    found = broken(day, [*beside, wanted])
    return [b for b in found if b.rule != "fixed" and (b.rule, b.at) not in already]


def fits(day: Day, beside: Sequence[Performance], wanted: Performance) -> bool:
    """True when `wanted` breaks nothing that is not broken without it."""
    return not standing_in_the_way(day, beside, wanted)


def moved_to(
    day: Day, beside: Sequence[Performance], wanted: Performance, earliest: datetime
) -> Performance | None:
    """`wanted` at its first allowed start from `earliest` on; None when there is none soon."""
    moment = earliest.replace(second=0, microsecond=0)
    if moment < earliest:
        moment += timedelta(minutes=1)
    while moment <= min(earliest + _FARTHEST, day.hours.end):
        candidate = Performance(moment, wanted.piece)
        if day.on_grid(moment) and fits(day, beside, candidate):
            return candidate
        moment += timedelta(minutes=1)
    return None


def mended(
    day: Day,
    played: Sequence[Performance],
    first: Sequence[Performance],
    then: Sequence[Performance],
) -> tuple[Performance, ...]:
    """As many as can stand together of `first` (promises, in their order) and then of `then`.

    Of those, the day's fixed ones come before the others.
    """
    fixed = {each.at for each in day.wishes.fixed}
    wanted = [*first, *sorted(then, key=lambda p: (p.starts not in fixed, p.starts))]
    kept = _accepted(day, breaks(day, played), list(played), wanted)[len(played) :]
    return tuple(sorted(kept, key=lambda p: p.starts))


def _accepted(
    day: Day,
    already: frozenset[tuple[str, datetime]],
    kept: list[Performance],
    wanted: Sequence[Performance],
) -> list[Performance]:
    """Those `kept` and, in their order, each of `wanted` that fits beside all before it.

    What fits together also fits one by one, so whole halves are judged at once.
    """
    if not wanted or breaks(day, [*kept, *wanted]) <= already:
        return [*kept, *wanted]
    if len(wanted) == 1:
        return kept
    half = len(wanted) // 2
    return _accepted(day, already, _accepted(day, already, kept, wanted[:half]), wanted[half:])
