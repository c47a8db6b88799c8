"""Why does the figure not perform then, and what would have to move so that it could?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from showtime.fair import Day, Performance, Piece, Plan, Where, instant
from showtime.fair.wishes import Wish
from showtime.planning.values import value
from showtime.planning.verifier import Broken, broken
from showtime.planning.wallclock import clock


@dataclass(frozen=True, slots=True)
class Reason:
    """One rule that stands in the way of `piece`, beside the rest of the plan.

    The rules are those of the verifier, and "wishes.performances": the keeper wished for no
    more performances than there are.
    """

    rule: str
    why: str
    where: Where | None
    piece: str


@dataclass(frozen=True, slots=True)
class Move:
    """A planned performance of `piece` that would have to start at `to`; None: be left out."""

    piece: str
    planned: datetime
    to: datetime | None


@dataclass(frozen=True, slots=True)
class Change:
    """A wish as the plan fulfils it, and as it would with the performance asked for."""

    wish: Wish
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class WhyNot:
    """The answer for a performance of `piece` at `at`.

    `allowed`: it could be played, or is, with everything else where it is. Else `reasons` are all
    that stands in the way, and `possible` tells whether `moves` would clear it (with no moves:
    that nothing would). `note` is a remark in a person's words, `changes` what the wishes gain
    or lose.
    """

    at: datetime
    piece: str
    allowed: bool
    reasons: tuple[Reason, ...] = ()
    possible: bool = True
    moves: tuple[Move, ...] = ()
    changes: tuple[Change, ...] = ()
    note: str = ""


def why_not(day: Day, plan: Plan, at: datetime, piece: Piece | None = None) -> WhyNot:
    """What stands in the way of a performance at `at`, beside the rest of `plan`.

    Without a `piece` it is allowed if any piece is, and else the answer is that of the piece
    that comes closest.
    """
    moment = instant(at)
    planned = next(
        (
            each
            for each in plan.performances
            if each.starts == moment and piece in (None, each.piece)
        ),
        None,
    )
    if planned is not None:
        note = f"{planned.piece.name} is already planned at {clock(day, moment)}"
        return WhyNot(moment, planned.piece.name, allowed=True, note=note)
    wanted = [Performance(moment, each) for each in ([piece] if piece else day.pieces)]
    found = [_judged(day, plan, each) for each in wanted]
    return min(found, key=_distance)


def _distance(answer: WhyNot) -> tuple[bool, bool, int]:
    return not answer.allowed, not answer.possible, len(answer.reasons)


def _judged(day: Day, plan: Plan, wanted: Performance) -> WhyNot:
    name = wanted.piece.name
    reasons = _reasons(day, plan.performances, wanted)
    if not reasons:
        changes = _changes(day, plan.performances, [*plan.performances, wanted])
        note = f"{name} at {clock(day, wanted.starts)} fits beside the plan as it is"
        return WhyNot(wanted.starts, name, allowed=True, changes=changes, note=note)
    possible = not _reasons(day, _unmovable(day, plan.performances), wanted)
    return WhyNot(wanted.starts, name, allowed=False, reasons=reasons, possible=possible)


def _reasons(
    day: Day, performances: Sequence[Performance], wanted: Performance
) -> tuple[Reason, ...]:
    """What is broken with `wanted` that was not without it."""
    already = Counter(broken(day, performances))
    found = Counter(broken(day, [*performances, wanted]))
    name = wanted.piece.name
    reasons = [_reason(each, name) for each in found - already]
    most = day.wishes.most
    if most is not None and len(performances) >= most:
        why = f"{len(performances)} performances are planned; no more than {most} are wished for"
        reasons.append(Reason("wishes.performances", why, day.wishes.most_where, name))
    return tuple(dict.fromkeys(reasons))


def _reason(rule: Broken, piece: str) -> Reason:
    return Reason(rule.rule, rule.why, rule.where, piece)


def _unmovable(day: Day, performances: Sequence[Performance]) -> list[Performance]:
    """The performances that are fixed where they are."""
    fixed = [(instant(each.at), each.piece) for each in day.wishes.fixed]
    return [
        each
        for each in performances
        if (each.starts, None) in fixed or (each.starts, each.piece.name) in fixed
    ]


def _changes(
    day: Day, before: Sequence[Performance], after: Sequence[Performance]
) -> tuple[Change, ...]:
    changes = [
        Change(wish, value(day, wish, before), value(day, wish, after)) for wish in day.wishes.order
    ]
    return tuple(change for change in changes if change.before != change.after)
