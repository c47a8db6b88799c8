"""The keeper's words to a running day, read: `late 5`, `off 14:30`, `quiet 10`, ..."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Piece
from showtime.live.asked import QuestionError, piece_of, time_of
from showtime.live.keeper import actions, setnext, undoing
from showtime.live.keeper.actions import Decision, Refusal
from showtime.live.state import DayState

Words = Sequence[str]
Doing = Callable[[DayState, datetime, Words], Decision | Refusal]


@dataclass(frozen=True, slots=True)
class Order:
    """One verb: how it is written, what it does, and the action behind it."""

    form: str
    does: str
    do: Doing


def _play(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return actions.play(state, now, _piece(state, words))


def _hold(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return actions.hold(state, now, " ".join(words))


def _release(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return actions.release(state, now)


def _skip(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return actions.call_off(state, now)


def _late(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return actions.delay(state, now, _minutes(words))


def _off(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return actions.call_off(state, now, _time(state, words))


def _add(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return actions.add(state, now, _time(state, words), _piece(state, words[1:]))


def _set(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return setnext.set_next(state, now, _time(state, words), _piece(state, words[1:]))


def _accept(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return setnext.accept(state, now)


def _quiet(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    if words and ":" not in words[0]:
        end = now + timedelta(minutes=_minutes(words))
        return actions.quiet(state, now, now, end, " ".join(words[1:]))
    start, end = _time(state, words), _time(state, words[1:])
    return actions.quiet(state, now, start, end, " ".join(words[2:]))


def _close(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return actions.close(state, now, _time(state, words))


def _choose(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    piece = _piece(state, words)
    if piece is None:
        raise QuestionError(f"which piece? {', '.join(each.name for each in state.day.pieces)}")
    return actions.choose_piece(state, now, piece)


def _undo(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    return undoing.undo(state, now)


ORDERS = {
    "play": Order("play [PIECE]", "a performance now, if the rules allow it", _play),
    "hold": Order("hold [WHY]", "stop everything at once", _hold),
    "release": Order("release", "go on after a hold or a restart", _release),
    "skip": Order("skip", "leave the next start out", _skip),
    "late": Order("late MINUTES", "the next start comes so much later", _late),
    "off": Order("off TIME", "call one start off", _off),
    "add": Order("add TIME [PIECE]", "one more start", _add),
    "set": Order("set TIME [PIECE]", "the next performance is then", _set),
    "accept": Order("accept", "take the time that was offered for a forbidden one", _accept),
    "quiet": Order("quiet MINUTES [WHY]", "nothing sounds from now; or: quiet FROM UNTIL", _quiet),
    "close": Order("close TIME", "close early", _close),
    "piece": Order("piece NAME", "pick the next piece", _choose),
    "undo": Order("undo", "take the last action back, within a minute", _undo),
}


def outcome(state: DayState, now: datetime, words: Words) -> Decision | Refusal:
    """What the keeper's words would do at `now`. QuestionError for words that mean nothing."""
    order = ORDERS.get(words[0].lower()) if words else None
    if order is None:
        said = " ".join(words) or "nothing"
        raise QuestionError(f"{said!r} means nothing here; say one of: {', '.join(ORDERS)}")
    return order.do(state, now, words[1:])


def _minutes(words: Words) -> int:
    if not words or not words[0].isdecimal() or not 0 < int(words[0]) <= 600:
        raise QuestionError("how many minutes? say a number from 1 to 600")
    return int(words[0])


def _time(state: DayState, words: Words) -> datetime:
    if not words:
        raise QuestionError("at what time? say one like 14:30")
    return time_of(state.day, words[0])


def _piece(state: DayState, words: Words) -> Piece | None:
    return piece_of(state.day, " ".join(words))
