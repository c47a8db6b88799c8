"""What the hall says -> what happens. Pure.

Words come on any thread, in any order, and twice; the same again makes nothing happen. Whatever
they demand, promised starts are kept first, and one is moved only when no rule lets it stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from showtime.fair import Performance, Span
from showtime.fair.hall import Handout
from showtime.live import events as happened
from showtime.live.fold import fold
from showtime.live.hall import (
    CapsSet,
    HallWord,
    PlanHanded,
    QuietCalled,
    QuietLifted,
    TimesTaken,
)
from showtime.live.hallbounds import ahead, cap_of, hushes
from showtime.live.keeper.actions import kept_first
from showtime.live.keeper.changes import handed, in_the_hall, rearranged
from showtime.live.keeper.mend import mended, performances, performed, slots
from showtime.live.state import DayState, Stage

Events = tuple[happened.Event, ...]

NEW_PLAN = "the fair has a new plan"
NEW_LIMITS = "the fair has new limits"
QUIET = "quiet was asked for"
"""Why a start changes, where nobody gave a reason; visitors are told."""


def hall_heard(state: DayState, now: datetime, word: HallWord, *, cut_off: bool = False) -> Events:
    """What happens when the hall says this at `now`; nothing when it changes nothing.

    `cut_off`: the hall is not reached. Then others' times are known by the last plan as well.
    """
    if state.stage in (Stage.UNBEGUN, Stage.ENDED):
        return ()
    match word:
        case PlanHanded(handout):
            return _planned(state, now, handout)
        case TimesTaken(quiet):
            told = _waited_for(state, hushes(quiet, _sounded(state, now), state.day.hours))
            planned = _beside_promised(state, state.hall.beside, now) if cut_off else ()
            return _others_play(state, now, (*told, *planned))
        case QuietCalled():
            return _hushed(state, now, word)
        case QuietLifted(call):
            hush = state.hall.hush(call)
            if hush is None or hush.end <= now:
                return ()
            return _within(state, now, happened.HushLifted(at=now, call=call), NEW_PLAN)
        case CapsSet(caps):
            kept = tuple(cap for budget in caps if (cap := cap_of(budget)))
            if kept == state.hall.caps:
                return ()
            return _within(state, now, happened.HallCapped(at=now, caps=kept), NEW_LIMITS)


def hall_wants_plan(before: DayState, events: Sequence[happened.Event]) -> bool:
    """True when the rest of the day should be planned anew: something had to give way, or what
    hindered it is gone."""
    wanted = len(before.upcoming)
    for event in events:
        match event:
            case happened.HallPlanned():
                wanted = sum(slot.starts >= event.at for slot in event.slots)
            case happened.Replanned() if len(event.slots) < wanted:
                return True
            case happened.HushLifted() | happened.PromiseMoved():
                return True
    return False


def hush_begins(state: DayState, now: datetime) -> Events:
    """What happens to what plays when a quiet begins that the organiser called for in time."""
    hush = next((h for _, h in state.hall.called if h.start <= now < h.end), None)
    if hush is None or state.playing is None:
        return ()
    return (happened.Stopped(at=now, slot=state.playing, why=hush.why),)


def _sounded(state: DayState, now: datetime) -> datetime:
    """What has sounded, and what plays, was rightly begun: nothing is said against it later."""
    return max((now, *(each.ends for each in performed(state))))


def _waited_for(state: DayState, told: Sequence[happened.Hush]) -> tuple[happened.Hush, ...]:
    """Without the seconds by which somebody is late for a start of ours: at the start leave is
    asked, and it waits as long as its promise is kept. No start is moved for them."""
    return tuple(replace(hush, end=min([hush.end, *_starts_in(state, hush)])) for hush in told)


def _starts_in(state: DayState, hush: happened.Hush) -> Iterator[datetime]:
    for slot in state.upcoming:
        if hush.start < slot.starts < hush.end <= slot.starts + state.keep_within:
            yield slot.starts


def _others_play(state: DayState, now: datetime, told: Sequence[happened.Hush]) -> Events:
    others = tuple(sorted(set(told)))
    if ahead(others, now) == ahead(state.hall.others, now):
        return ()
    return _within(state, now, happened.OthersPlay(at=now, hushes=others), NEW_PLAN)


def _beside_promised(
    state: DayState, planned: Sequence[happened.Hush], now: datetime
) -> tuple[happened.Hush, ...]:
    """Others' times by the plan, but for those that somebody was promised here: whoever made it may
    not have known of them, and the neighbours are asked."""
    left = list(ahead(planned, _sounded(state, now)))
    for kept in _promised(state):
        left = [part for hush in left for part in _around(hush, kept.span)]
    return tuple(left)


def _promised(state: DayState) -> Iterator[Performance]:
    promised = state.promised()
    coming = performances(state.day, state.upcoming)
    return (p for p in coming if p.starts in promised)


def _around(hush: happened.Hush, span: Span) -> Iterator[happened.Hush]:
    """What is left of it outside of that span."""
    if hush.start < min(hush.end, span.start):
        yield replace(hush, end=min(hush.end, span.start))
    if max(hush.start, span.end) < hush.end:
        yield replace(hush, start=max(hush.start, span.end))


def _planned(state: DayState, now: datetime, handout: Handout) -> Events:
    day = state.day
    if handout.date != day.date or handout.stall != day.signboard.stall:
        return ()
    known = {piece.name for piece in day.pieces}
    planned = slots(p for p in handout.performances if p.piece.name in known)
    beside, hall = hushes(handout.quiet, _sounded(state, now), day.hours), state.hall
    if planned == hall.planned and ahead(beside, now) == ahead(hall.beside, now):
        return ()
    begun: list[happened.Event] = [happened.HallPlanned(at=now, slots=planned, hushes=beside)]
    told = (hush for hush in hall.others if not hall.is_planned(hush))
    others = tuple(sorted({*told, *_beside_promised(state, beside, now)}))
    if ahead(others, now) != ahead(hall.others, now):
        begun.append(happened.OthersPlay(at=now, hushes=others))
    first = kept_first(state, performances(day, state.upcoming))
    promised = state.promised()
    first.sort(key=lambda p: p.starts not in promised)  # the others are the keeper's wishes
    rest = handed(fold(state, begun), now, first)
    return _put_together(state, now, begun, first, rest, NEW_PLAN)


def _hushed(state: DayState, now: datetime, word: QuietCalled) -> Events:
    span, known, why = word.span, state.hall.hush(word.call), word.why or QUIET
    if span.end <= now:
        sooner = known is not None and known.end > now
        return (happened.HushLifted(at=now, call=word.call),) if sooner else ()
    stopped: list[happened.Event] = []
    if state.playing is not None and span.start <= now:
        stopped = [happened.Stopped(at=now, slot=state.playing, why=why)]
    sounded = max((p.ends for p in performed(fold(state, stopped))), default=span.start)
    begins = max(span.start, sounded) if span.start <= now else span.start
    if begins >= span.end:
        return ()
    hush = happened.Hush(begins, span.end, why)
    if not stopped and known is not None and ahead([known], now) == ahead([hush], now):
        return ()
    begun = [*stopped, happened.HallHushed(at=now, call=word.call, hush=hush)]
    coming = performances(state.day, state.upcoming)
    return _put_together(state, now, begun, kept_first(state, coming), coming, why)


def _within(state: DayState, now: datetime, begun: happened.Event, why: str) -> Events:
    coming = performances(state.day, state.upcoming)
    return _put_together(state, now, [begun], kept_first(state, coming), coming, why)


def _put_together(
    state: DayState,
    now: datetime,
    begun: Sequence[happened.Event],
    first: Sequence[Performance],
    then: Sequence[Performance],
    why: str,
) -> Events:
    """What begins, and the rest of the day as far as it stands by the rules that this brings."""
    after = fold(state, begun)
    rest = mended(after.to_plan, performed(after), first, then)
    rest = _with_room_for_the_plan(after, now, rest)
    if slots(rest) == after.upcoming:
        return tuple(begun)
    changed = rearranged(after, now, rest, why)
    return (*begun, *(_for_its_reason(after, event) for event in changed))


def _with_room_for_the_plan(
    state: DayState, now: datetime, rest: tuple[Performance, ...]
) -> tuple[Performance, ...]:
    """With starts of the hall's plan that had no room before: for a moment after a plan others
    still have the times of the last one. There come no more than it has."""
    planned = handed(state, now)
    room = len(planned) - sum(p.starts >= now for p in rest)
    missing = [p for p in planned if p not in rest]
    if room <= 0 or not missing:
        return rest
    both = mended(state.to_plan, performed(state), rest, missing)
    again = [p for p in both if p not in rest][:room]
    return tuple(sorted([*rest, *again], key=lambda p: p.starts))


def _for_its_reason(state: DayState, event: happened.Event) -> happened.Event:
    """A promise is moved for the sake of those who sound then, if it is for theirs."""
    if not isinstance(event, happened.PromiseMoved):
        return event
    slot = next((slot for slot in state.upcoming if slot.starts == event.told), None)
    if slot is None:
        return event
    sounds = Span(slot.starts, slot.starts + state.day.piece(slot.piece).lasts)
    met = in_the_hall(state, sounds)
    return replace(event, why=met[0].why) if met else event
