"""Whether the figure speaks unasked, and what is put down of what it says. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from showtime.live import events as happened
from showtime.live.answer import Manner, answer, is_owed, may_call
from showtime.live.state import BOARD, DayState, Stage
from showtime.wording import Kind, Sentence, Situation

_CALLED_ENOUGH = timedelta(minutes=1)
"""Nobody needs calling who asked within this."""


def owed(state: DayState, now: datetime) -> Situation | None:
    """The apology that the figure owes and may make now."""
    situation = answer(state, now)
    owes = any(is_owed(promise, now) for promise in state.promises)
    sorry = situation.kind in (Kind.CHANGED, Kind.CALLED_OFF)
    return situation if owes and sorry and may_call(state, now) else None


def wants_call(state: DayState, slot: happened.Slot, now: datetime) -> bool:
    """True when a crowd may be gathered for `slot`: it is next, and nobody has just asked."""
    last = state.last_answer
    asked_just_now = last is not None and now - last.at < _CALLED_ENOUGH
    return not asked_just_now and slot == state.next and may_call(state, now)


def answered(
    trigger: str, situation: Situation, words: Sequence[Sentence], how: Manner
) -> happened.Answered:
    """The answer as it stands in the journal."""
    first, *others = words
    return happened.Answered(
        at=situation.now,
        trigger=trigger,
        kind=situation.kind,
        text=first.text,
        language=first.language,
        template=first.template,
        told=situation.at,
        spoken=how.value,
        also=tuple(happened.Said(each.text, each.language) for each in others),
    )


def still_true(last: happened.Answered, situation: Situation) -> bool:
    """True when the last answer tells what is right now."""
    return (last.kind, last.told) == (situation.kind, situation.at)


def shown(state: DayState, now: datetime) -> happened.Answered | None:
    """What showing the day to visitors promises them that nobody was told before; None: nothing.

    It is no apology, whatever it shows: the figure still owes that aloud.
    """
    told = None if state.stage is Stage.ENDED else answer(state, now).at
    if told is None or told <= now or told in state.promised():
        return None
    return happened.Answered(
        at=now,
        trigger=BOARD,
        kind=Kind.NEXT,
        text=f"{state.day.local(told):%H:%M}",
        language=state.day.signboard.languages[0],
        template=0,
        told=told,
        spoken=Manner.SILENT.value,
    )
