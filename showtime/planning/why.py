"""Why does the figure not perform then, and what would have to move so that it could?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Day, Performance, Piece, Plan, Where, instant
from showtime.fair.wishes import Wish
from showtime.planning.clash import Clash
from showtime.planning.moves import Move, moves
from showtime.planning.values import value
from showtime.planning.verifier import broken
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
class Change:
    """A wish as the plan fulfils it, and as it would with the performance asked for."""

    wish: Wish
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class WhyNot:
    """The answer for a performance of `piece` at `at`.

    `allowed`: it could be played with everything else where it is, or is planned already. Else
    `reasons` are all that stands in the way, and `possible` tells whether `moves` would clear
    it or nothing can. `changes` are what the wishes gain or lose by it, `note` a remark on all
    that in a person's words.
    """

    at: datetime
    piece: str
    allowed: bool
    reasons: tuple[Reason, ...] = ()
    possible: bool = True
    moves: tuple[Move, ...] = ()
    changes: tuple[Change, ...] = ()
    note: str = ""


def why_not(
    day: Day,
    plan: Plan,
    at: datetime,
    piece: Piece | None = None,
    *,
    limit: float = 5.0,
    monotonic: Callable[[], float] = lambda: 0.0,
) -> WhyNot:
    """What stands in the way of a performance at `at`, beside the rest of `plan`.

    Without a `piece` it is allowed if any piece is, and else the answer is that of the piece
    that comes closest. `limit` is the time in seconds that may be spent on each piece, as far as
    `monotonic` tells it; when it runs out, more may be moved than would have to be.
    """
    from showtime.planning.fitting import fit

    moment = instant(at)
    for planned in plan.performances:
        if planned.starts == moment and piece in (None, planned.piece):
            note = f"{planned.piece.name} is already planned at {clock(day, moment)}."
            return WhyNot(moment, planned.piece.name, allowed=True, note=note)

    def judged(wanted: Performance) -> WhyNot:
        reasons = _reasons(day, plan.performances, wanted)
        if not reasons:
            return _allowed(day, plan.performances, wanted)
        fitted: Plan | Clash | None = None
        if wanted.piece in day.pieces:
            fitted = fit(day, wanted, plan.performances, limit=limit, monotonic=monotonic)
        return _refused(day, plan.performances, wanted, reasons, fitted)

    wanted = [Performance(moment, each) for each in ([piece] if piece else day.pieces)]
    return min(map(judged, wanted), key=_distance)


def _distance(answer: WhyNot) -> tuple[bool, bool, int, int, timedelta, int]:
    """How far an answer is from "allowed": what is impossible, left out, moved, in the way."""
    ways = [abs(move.to - move.planned) for move in answer.moves if move.to is not None]
    return (
        not answer.allowed,
        not answer.possible,
        len(answer.moves) - len(ways),
        len(ways),
        sum(ways, timedelta(0)),
        len(answer.reasons),
    )


def _reasons(
    day: Day, performances: Sequence[Performance], wanted: Performance
) -> tuple[Reason, ...]:
    """What is broken with `wanted` that was not without it."""
    already = Counter(broken(day, performances))
    found = Counter(broken(day, [*performances, wanted]))
    name = wanted.piece.name
    reasons = [Reason(each.rule, each.why, each.where, name) for each in found - already]
    most = day.wishes.most
    if most is not None and len(performances) >= most:
        why = f"{len(performances)} performances are planned; no more than {most} are wished for"
        reasons.append(Reason("wishes.performances", why, day.wishes.most_where, name))
    return tuple(dict.fromkeys(reasons))


def _allowed(day: Day, performances: Sequence[Performance], wanted: Performance) -> WhyNot:
    changes = _changes(day, performances, [*performances, wanted])
    note = f"{wanted.piece.name} at {clock(day, wanted.starts)} fits beside the plan as it is"
    note += f": {_told(changes)}." if changes else "."
    return WhyNot(wanted.starts, wanted.piece.name, allowed=True, changes=changes, note=note)


def _refused(
    day: Day,
    performances: Sequence[Performance],
    wanted: Performance,
    reasons: tuple[Reason, ...],
    fitted: Plan | Clash | None,
) -> WhyNot:
    name = wanted.piece.name
    if not isinstance(fitted, Plan):
        rules = [rule.why for rule in fitted.rules if rule.rule != "wanted"] if fitted else []
        note = f"However the others are moved, {_and(rules)} clash with it." if rules[1:] else ""
        return WhyNot(wanted.starts, name, False, reasons, possible=False, note=note)
    others = [each for each in fitted.performances if each != wanted]
    needed = moves(performances, others)
    changes = _changes(day, performances, fitted.performances)
    note = f"That would mean {_told(changes)}." if changes else ""
    return WhyNot(wanted.starts, name, False, reasons, True, needed, changes, note)


def _changes(
    day: Day, before: Sequence[Performance], after: Sequence[Performance]
) -> tuple[Change, ...]:
    changes = [
        Change(wish, value(day, wish, before), value(day, wish, after)) for wish in day.wishes.order
    ]
    return tuple(change for change in changes if change.before != change.after)


def _and(rules: Sequence[str]) -> str:
    return " and ".join(f'"{rule}"' for rule in rules)


_VALUES = {
    Wish.PERFORMANCES: "performances worth {:g}",
    Wish.WAIT: "a mean wait of {:.1f} min",
    Wish.ROUND_TIMES: "unround times counted {:g}",
    Wish.EVEN_PIECES: "pieces uneven by {:g}",
}


def _told(changes: Sequence[Change]) -> str:
    """`a mean wait of 21.3 min instead of 20.5`, for every wish that changes."""
    return ", ".join(
        f"{_VALUES[change.wish].format(change.after)} instead of {_figure(change)}"
        for change in changes
    )


def _figure(change: Change) -> str:
    return f"{change.before:.1f}" if change.wish is Wish.WAIT else f"{change.before:g}"
