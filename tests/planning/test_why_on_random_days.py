"""Answers to "why not then?" on random days, acted on and judged again."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random
from time import monotonic

from showtime.fair import Day, Performance, Plan
from showtime.planning import WhyNot, broken, plan, why_not


def carried_out(answer: WhyNot, day: Day, planned: Sequence[Performance]) -> list[Performance]:
    """The plan with every move made and the wanted performance in it."""
    performances = [*planned, Performance(answer.at, day.piece(answer.piece))]
    for move in answer.moves:
        gone = Performance(move.planned, day.piece(move.piece))
        performances.remove(gone)
        if move.to is not None:
            performances.append(replace(gone, starts=move.to))
    return performances


def test_answers_of_random_days_hold_when_they_are_acted_on(
    random_day: Callable[[Random], Day], full: bool
) -> None:
    dice = Random(430)
    seen = {"allowed": 0, "moved": 0, "impossible": 0}
    for _ in range(300 if full else 25):
        day = random_day(dice)
        made = plan(day, limit=0.5, monotonic=monotonic)
        if not isinstance(made, Plan):
            continue
        for _ in range(6):
            slots = day.hours.length // day.wishes.start_on
            moment = day.hours.start + dice.randrange(slots) * day.wishes.start_on
            piece = dice.choice(day.pieces)
            answer = why_not(day, made, moment, piece, limit=1.0, monotonic=monotonic)
            seen[checked(day, made, answer)] += 1
    assert min(seen.values()) > 3, seen


def checked(day: Day, made: Plan, answer: WhyNot) -> str:
    wanted = Performance(answer.at, day.piece(answer.piece))
    if wanted in made.performances:
        return "allowed"
    most = day.wishes.most
    beside = [*made.performances, wanted]
    fits = not broken(day, beside) and (most is None or len(beside) <= most)
    assert answer.allowed == fits
    assert answer.allowed != bool(answer.reasons)
    if answer.allowed:
        return "allowed"
    if answer.possible:
        assert answer.moves
        after = carried_out(answer, day, made.performances)
        assert broken(day, after) == ()
        assert most is None or len(after) <= most
        return "moved"
    assert not can_stand_alone(day, wanted)
    return "impossible"


def can_stand_alone(day: Day, wanted: Performance) -> bool:
    """Whether it and what is fixed keep every rule, with nothing else there that could be moved."""
    lists = [[wanted]]
    for fixed in day.wishes.fixed:
        pieces = [piece for piece in day.pieces if fixed.piece in (None, piece.name)]
        lists = [[*one, Performance(fixed.at, piece)] for one in lists for piece in pieces]
    lists = [list(dict.fromkeys(one)) for one in lists]
    most = day.wishes.most
    return any(not broken(day, one) and (most is None or len(one) <= most) for one in lists)
