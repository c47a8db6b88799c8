"""What becomes of a start that is due: it comes now, a little later, or gives way. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from showtime.fair import Span
from showtime.live import events as happened
from showtime.live.hall import Leave
from showtime.live.keeper.actions import Decision, Refusal, kept_first
from showtime.live.keeper.changes import in_the_hall, others_sound, rearranged, taken_back
from showtime.live.keeper.mend import mended, moved_to, performances, performed
from showtime.live.keeper.starting import given_up, has_overrun, soonest, startable
from showtime.live.state import DayState

ON_TIME = timedelta(seconds=1)
"""A start that comes later than this is judged by the rules again."""

ELSEWHERE = "somebody else plays just then"
"""Why a start gives way when nobody said who it is; visitors are told."""

_MINUTE = timedelta(minutes=1)

AskLeave = Callable[[Span, datetime], Leave]
"""The neighbours' leave to sound in a span, looked up now."""


@dataclass(frozen=True, slots=True)
class Go:
    """It starts now. `late`: the rest of the day is to be looked at again."""

    late: bool


@dataclass(frozen=True, slots=True)
class Wait:
    """It is looked at again `until` then."""

    until: datetime


@dataclass(frozen=True, slots=True)
class GiveUp:
    """It does not come, or not now: what happens instead. `replan`: there is a gap to fill."""

    events: tuple[happened.Event, ...]
    replan: bool = False


def judged(
    state: DayState, slot: happened.Slot, now: datetime, leave: AskLeave
) -> Go | Wait | GiveUp:
    """What becomes of a start whose time has come: its own rules first, then the neighbours' leave.

    Without leave it waits as long as its promise is still kept; nobody moves a start for the
    seconds by which a neighbour is late.
    """
    late = now - slot.starts > ON_TIME
    if (late or has_overrun(state)) and not startable(state, slot, now):
        later = soonest(state, slot, now) if has_overrun(state) else None
        return Wait(later) if later else GiveUp(given_up(state, slot, now))
    lasts = state.day.piece(slot.piece).lasts
    if leave(Span(now, now + lasts), now) is Leave.GIVEN:
        return Go(late)
    again = soonest(state, slot, now)
    return Wait(again) if again else GiveUp(gave_way(state, slot, now), replan=True)


def gave_way(state: DayState, slot: happened.Slot, now: datetime) -> tuple[happened.Event, ...]:
    """Somebody else sounds: the start comes at the first time that is allowed, or not at all."""
    wanted = performances(state.day, [slot])[0]
    met = in_the_hall(state, Span(now, now + wanted.piece.lasts))
    why = met[0].why if met else ELSEWHERE
    gone = happened.GaveWay(at=now, slot=slot, why=why)
    others = performances(state.day, (each for each in state.upcoming if each != slot))
    promised = kept_first(state, others)
    later = moved_to(state.to_plan, [*performed(state), *promised], wanted, now + _MINUTE)
    first = sorted([*([later] if later else []), *promised], key=lambda p: p.starts)
    rest = mended(state.to_plan, performed(state), first, others)
    (replanned, *moved) = rearranged(state, now, rest, why)
    to = next((p.starts for p in rest if p.starts >= now), None)
    own = (replace(event, to=to) for event in taken_back(state, now, [slot], why))
    return (gone, replanned, *own, *(each for each in moved if not _is_of(each, slot)))


def _is_of(event: happened.Event, slot: happened.Slot) -> bool:
    return isinstance(event, happened.PromiseMoved) and event.told == slot.starts


def with_leave(
    state: DayState, now: datetime, decided: Decision | Refusal, leave: AskLeave
) -> Decision | Refusal:
    """What the keeper wants at once, once the neighbours were asked."""
    wanted = _at_once(decided, now)
    if wanted is None or not isinstance(decided, Decision):
        return decided
    (sounds,) = performances(state.day, [wanted])
    match leave(sounds.span, now):
        case Leave.REFUSED:
            why = others_sound(state, sounds) or ELSEWHERE
            return Refusal(f"{wanted.piece} not now: {why}.")
        case Leave.ASKED:
            return replace(decided, said=f"{decided.said} The neighbours are asked first.")
    return decided


def _at_once(decided: Decision | Refusal, now: datetime) -> happened.Slot | None:
    """What would start at once by the decision."""
    if not isinstance(decided, Decision):
        return None
    added = (event.slot for event in decided.events if isinstance(event, happened.Added))
    return next((slot for slot in added if slot.starts <= now), None)
