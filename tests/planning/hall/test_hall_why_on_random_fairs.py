"""Answers to "why not then?" on random fairs, acted on and judged again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta
from random import Random
from time import monotonic

from showtime.fair import Performance
from showtime.fair.hall import HallDay, HallPlan
from showtime.planning.hall import HallWhyNot, broken_in_hall, why_in_hall
from showtime.planning.hall.why import HallMove, Verdict

MINUTE = timedelta(minutes=1)
Lists = tuple[tuple[Performance, ...], ...]


def with_one(lists: Lists, stall: int, wanted: Performance) -> Lists:
    return (*lists[:stall], (*lists[stall], wanted), *lists[stall + 1 :])


def carried_out(
    hall: HallDay, lists: Lists, moves: Sequence[HallMove], stall: int, wanted: Performance
) -> Lists:
    """The plan with every move made and the wanted performance in it."""
    changed = [list(given) for given in lists]
    for move in moves:
        number = hall.number(move.stall)
        gone = Performance(move.planned, hall.days[number].piece(move.piece))
        changed[number].remove(gone)
        if move.to is not None:
            changed[number].append(replace(gone, starts=move.to))
    return with_one(tuple(tuple(given) for given in changed), stall, wanted)


def keeps_all(hall: HallDay, lists: Lists) -> bool:
    most = [day.wishes.most for day in hall.days]
    wished = all(top is None or len(one) <= top for top, one in zip(most, lists, strict=True))
    return wished and not broken_in_hall(hall, lists)


def checked(plan: HallPlan, stall: int, answer: HallWhyNot) -> str:
    hall, lists = plan.hall, plan.performances
    wanted = Performance(answer.at, hall.days[stall].piece(answer.piece))
    if wanted in lists[stall]:
        assert answer.allowed
        return "planned"
    assert answer.allowed == keeps_all(hall, with_one(lists, stall, wanted))
    assert answer.allowed != bool(answer.reasons)
    if answer.allowed:
        return "allowed"
    alone = with_one((*lists[:stall], (), *lists[stall + 1 :]), stall, wanted)
    if answer.own.verdict is Verdict.WOULD:
        assert {move.stall for move in answer.own.moves} == {answer.stall}
        assert keeps_all(hall, carried_out(hall, lists, answer.own.moves, stall, wanted))
    if answer.own.verdict is Verdict.NEVER:
        assert not keeps_all(hall, alone)
    if answer.neighbours is None:
        assert not any(reason.others for reason in answer.reasons)
        return f"own {answer.own.verdict}"
    if answer.neighbours.verdict is Verdict.WOULD:
        after = carried_out(hall, lists, answer.neighbours.moves, stall, wanted)
        assert keeps_all(hall, after)
        named = {name for reason in answer.reasons for name in reason.others}
        assert {move.stall for move in answer.neighbours.moves} <= {answer.stall, *named}
        assert all(len(new) >= len(old) for old, new in zip(lists, after, strict=True))
    if answer.neighbours.verdict is Verdict.NEVER:
        silent: Lists = tuple(() for _ in lists)
        assert not keeps_all(hall, with_one(silent, stall, wanted))
    return f"neighbours {answer.neighbours.verdict}"


def nearest_is_right(plan: HallPlan, stall: int, answer: HallWhyNot) -> None:
    hall, day = plan.hall, plan.hall.days[stall]
    piece = day.piece(answer.piece)
    allowed = [
        start
        for minute in range(int(day.hours.length.total_seconds() // 60) + 1)
        if day.on_grid(start := day.hours.start + minute * MINUTE)
        and keeps_all(hall, with_one(plan.performances, stall, Performance(start, piece)))
    ]
    if not allowed:
        assert answer.nearest is None
        return
    assert answer.nearest in allowed
    assert abs(answer.nearest - answer.at) == min(abs(start - answer.at) for start in allowed)


def test_answers_hold_when_they_are_acted_on(
    random_hall: Callable[..., HallDay], crammed: Callable[..., Lists], full: bool
) -> None:
    dice = Random(840)
    seen: Counter[str] = Counter()
    for _ in range(120 if full else 16):
        hall = random_hall(dice, (2, 6), (60, 150))
        lists = crammed(dice, hall, 40)
        plan = HallPlan(hall, lists, tuple(9 for _ in lists))
        for turn in range(5):
            stall = dice.randrange(len(lists))
            day = hall.days[stall]
            slot = dice.randrange(day.hours.length // day.wishes.start_on + 1)
            moment = day.hours.start + slot * day.wishes.start_on
            piece = dice.choice(day.pieces)
            name = hall.names[stall]
            answer = why_in_hall(hall, plan, name, moment, piece, limit=20, monotonic=monotonic)
            kind = checked(plan, stall, answer)
            seen[kind] += 1
            if not turn and kind not in ("planned", "allowed"):
                nearest_is_right(plan, stall, answer)
    assert seen["allowed"] and seen["own would"] and seen["own never"], seen
    assert seen["neighbours would"] > 3 and seen["neighbours never"], seen
