"""What changes of the rest of the day, and of what was promised: as events, and in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from showtime.fair import Performance, QuietInterval, Span
from showtime.live import events as happened
from showtime.live.fold import fold
from showtime.live.keeper.mend import performances, slots
from showtime.live.state import DayState
from showtime.planning import moves

_EACH = 3
"""So many changes of a kind are told one by one."""


def rearranged(
    state: DayState, now: datetime, coming: Sequence[Performance], why: str
) -> tuple[happened.Event, ...]:
    """The new rest of the day, and what becomes of the promises that it does not keep."""
    starts = [p.starts for p in coming]
    moved = [
        happened.PromiseMoved(
            at=now, told=told, to=next((s for s in starts if s >= told), None), why=why
        )
        for told in state.promised()
        if told > now - state.keep_within and told not in starts and told != state.tomorrow
    ]
    return (happened.Replanned(at=now, slots=slots(coming), why=why), *moved)


def taken_back(
    state: DayState, now: datetime, missed: Iterable[happened.Slot], why: str
) -> tuple[happened.PromiseMoved, ...]:
    """The promises among the missed starts, each with the next start in its stead."""
    to = next((slot.starts for slot in state.upcoming if slot.starts >= now), None)
    promised = state.promised()
    return tuple(
        happened.PromiseMoved(at=now, told=slot.starts, to=to, why=why)
        for slot in missed
        if slot.starts in promised
    )


def difference(state: DayState, events: Iterable[happened.Event]) -> str:
    """What `events` change of what is to come, in the keeper's words."""
    after = fold(state, events)
    before, later = (performances(s.day, s.upcoming) for s in (state, after))
    changes = moves(before, later)
    stopped = state.playing if after.playing is None else None
    told = [f"{stopped.piece} is stopped"] if stopped else []
    told += [
        f"{clock_of(state, move.planned)} {move.piece} becomes {clock_of(state, move.to)}"
        for move in changes
        if move.to
    ]
    gone = [(move.planned, move.piece) for move in changes if not move.to]
    told += _named(state, gone, "is left out", "are left out")
    moved = {(move.to, move.piece) for move in changes}
    known = {(p.starts, p.piece.name) for p in before} | moved
    new = [(p.starts, p.piece.name) for p in later if (p.starts, p.piece.name) not in known]
    told += _named(state, new, "is new", "are new")
    return f"{'; '.join(told)}." if told else "Nothing that is to come changes."


def _named(
    state: DayState, starts: Sequence[tuple[datetime, str]], one: str, many: str
) -> list[str]:
    """Each with its piece; where there are many, all their times in one."""
    if len(starts) > _EACH:
        return [f"{', '.join(clock_of(state, start) for start, _ in starts)} {many}"]
    return [f"{clock_of(state, start)} {piece} {one}" for start, piece in starts]


def others_sound(state: DayState, wanted: Performance) -> str:
    """For whose sake it is quiet in that time by the hall's word, and until when; empty: nobody's.

    For the keeper; visitors are told the reason alone.
    """
    first = min(in_the_hall(state, wanted.span), key=lambda quiet: quiet.span, default=None)
    if first is None:
        return ""
    begins, ends = (clock_of(state, moment) for moment in (first.span.start, first.span.end))
    since = f"from {begins} " if first.span.start > wanted.starts else ""
    return f"{first.why} {since}until {ends}"


def handed(
    state: DayState, now: datetime, first: Iterable[Performance] = ()
) -> tuple[Performance, ...]:
    """What the hall's plan has for the rest of the day beside those `first`."""
    begins, taken = max(now, state.not_before or now), {p.starts for p in first}
    known = {piece.name for piece in state.day.pieces}
    return tuple(
        p
        for p in performances(state.day, (s for s in state.hall.planned if s.piece in known))
        if p.starts >= begins and p.starts not in taken
    )


def in_the_hall(state: DayState, span: Span) -> list[QuietInterval]:
    """The quiet of that span which the hall has laid upon the day."""
    return [quiet for quiet in state.hall.quiet if quiet.forbidden.meets(span)]


def clock_of(state: DayState, moment: datetime) -> str:
    """`14:30` on the stall's wall clock."""
    return f"{state.day.local(moment):%H:%M}"
