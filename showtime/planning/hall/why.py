"""Why does a stall not perform then, and who in the hall would have to move so that it could?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from showtime.fair import Performance, Piece, instant
from showtime.fair.hall import HallDay, HallPlan
from showtime.planning.hall.making_room import Room, starts_near
from showtime.planning.hall.reasons import Beside, HallReason, Lists
from showtime.planning.moves import moves
from showtime.planning.wallclock import clock

_WAYS = 0.7
"""The part of the time that may be spent on moves; the rest is kept for the nearest time."""


class Verdict(StrEnum):
    """Whether a way makes room: it would, none was found in the time, or (proven) none does."""

    WOULD = "would"
    NOT_FOUND = "not_found"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class HallMove:
    """A planned performance of `stall` that would have to start at `to`; None: be left out."""

    stall: str
    piece: str
    planned: datetime
    to: datetime | None


@dataclass(frozen=True, slots=True)
class Way:
    """A way to make room, and what would have to move."""

    verdict: Verdict
    moves: tuple[HallMove, ...] = ()


@dataclass(frozen=True, slots=True)
class HallWhyNot:
    """The answer for a performance of `piece` at `at` by `stall`.

    `allowed`: it could be played with everything else where it is, or is planned already. Else
    `reasons` are all that stands in the way. `own`: whether it would do if the stall moved its own
    performances alone, which may mean to leave some out. `neighbours`: whether it would do if the
    others whom the reasons name moved theirs, none having fewer then; None where nobody is named.
    `nearest` is the start nearest to `at` that is allowed as all is; None: there is none, or none
    was found in the time. `note` is a remark in a person's words.
    """

    stall: str
    at: datetime
    piece: str
    allowed: bool
    reasons: tuple[HallReason, ...] = ()
    own: Way = Way(Verdict.WOULD)
    neighbours: Way | None = None
    nearest: datetime | None = None
    note: str = ""

    @property
    def possible(self) -> bool:
        """True when a way was found."""
        return Verdict.WOULD in (self.own.verdict, self.neighbours and self.neighbours.verdict)

    @property
    def moves(self) -> tuple[HallMove, ...]:
        """What would have to move: of its own if that does, else of others too; maybe nothing."""
        if self.own.verdict is Verdict.WOULD or self.neighbours is None:
            return self.own.moves
        return self.neighbours.moves


def why_in_hall(
    hall: HallDay,
    plan: HallPlan,
    stall: str,
    at: datetime,
    piece: Piece | None = None,
    *,
    limit: float = 5.0,
    monotonic: Callable[[], float] = lambda: 0.0,
) -> HallWhyNot:
    """What stands in the way of a performance of `stall` at `at`, beside the rest of `plan`.

    Without a `piece` it is allowed if any piece is, and else the answer is that of the piece
    that comes closest. `limit` is the time in seconds for all of it, as far as `monotonic` tells
    it. KeyError when there is no such stall.
    """
    number, moment, begun = hall.number(stall), instant(at), monotonic()
    day = hall.days[number]
    for planned in plan.performances[number]:
        if planned.starts == moment and piece in (None, planned.piece):
            note = f"{planned.piece.name} is already planned at {clock(day, moment)}."
            return HallWhyNot(
                stall, moment, planned.piece.name, allowed=True, nearest=moment, note=note
            )
    beside = Beside(hall, plan.performances)
    pieces = [piece] if piece else list(day.pieces)
    found = [(one, beside.reasons(number, one)) for one in _at(moment, pieces)]
    for wanted, reasons in found:
        if not reasons:
            name = wanted.piece.name
            note = f"{name} at {clock(day, moment)} fits beside the plan as it is."
            return HallWhyNot(stall, moment, name, allowed=True, nearest=moment, note=note)

    def until(part: float) -> Callable[[], float]:
        return lambda: begun + part * limit - monotonic()

    answers = [
        _refused(Room(beside, number, wanted, until(_WAYS * nth / len(found))), reasons)
        for nth, (wanted, reasons) in enumerate(found, start=1)
    ]
    best = min(answers, key=_distance)
    nearest, looked = _nearest(beside, number, moment, pieces, until(1.0))
    if nearest is None and looked:
        none = "No start of the day is free beside the plan as it is."
        best = replace(best, note=f"{best.note} {none}".strip())
    return replace(best, nearest=nearest)


def _at(moment: datetime, pieces: Sequence[Piece]) -> list[Performance]:
    return [Performance(moment, piece) for piece in pieces]


def _distance(answer: HallWhyNot) -> tuple[bool, bool, int, int]:
    """How far an answer is from "allowed": no way found, others' moves, moves, reasons."""
    others = answer.own.verdict is not Verdict.WOULD
    return not answer.possible, others, len(answer.moves), len(answer.reasons)


def _nearest(
    beside: Beside,
    stall: int,
    moment: datetime,
    pieces: Sequence[Piece],
    remaining: Callable[[], float],
) -> tuple[datetime | None, bool]:
    """The nearest start that is allowed; without one, whether all were looked at."""
    day = beside.hall.days[stall]
    for start in starts_near(day, moment):
        if remaining() <= 0:
            return None, False
        if any(beside.fits(stall, one) for one in _at(start, pieces)):
            return start, True
    return None, True


def _refused(room: Room, reasons: tuple[HallReason, ...]) -> HallWhyNot:
    beside, stall, wanted = room.beside, room.stall, room.wanted
    answer = HallWhyNot(
        beside.hall.names[stall], wanted.starts, wanted.piece.name, False, reasons, Way(_NEVER)
    )
    named = [name for reason in reasons for name in reason.others]
    numbers = [beside.hall.number(name) for name in dict.fromkeys(named)]
    never = room.forbidden_by_own_rules()
    if never is not None:
        note = f"However the others are moved, {_and(never)} clash with it." if never[1:] else ""
        return replace(answer, neighbours=Way(_NEVER) if numbers else None, note=note)
    crowded = any(reason.rule == "together" for reason in reasons)
    if not crowded and not room.too_loud_alone():
        answer = replace(answer, own=_way(room, room.by_own()))
    if numbers:
        held = room.fixed_in_the_way()
        others = Way(_NEVER) if held else _way(room, room.by_neighbours(numbers))
        note = f"What is fixed stays: {_and(held)}." if held else ""
        answer = replace(answer, neighbours=others, note=note)
    return answer if answer.possible or answer.note else replace(answer, note=_none_found(answer))


_NEVER = Verdict.NEVER


def _way(room: Room, lists: Lists | None) -> Way:
    if lists is None:
        return Way(Verdict.NOT_FOUND)
    names = room.beside.hall.names
    return Way(
        Verdict.WOULD,
        tuple(
            HallMove(names[stall], move.piece, move.planned, move.to)
            for stall, (before, after) in enumerate(zip(room.beside.lists, lists, strict=True))
            if before != after
            for move in moves(before, [one for one in after if one != room.wanted])
        ),
    )


def _none_found(answer: HallWhyNot) -> str:
    if answer.neighbours is None and answer.own.verdict is Verdict.NEVER:
        return ""
    return "No way to make room was found; there may be one all the same."


def _and(rules: Sequence[str]) -> str:
    return " and ".join(f'"{rule}"' for rule in rules)
