"""What the keeper does to the day: each decides on events, or refuses with the reason.

Deciding is pure; the running day records what was decided and lets it happen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Performance
from showtime.live import events as happened
from showtime.live.mend import breaks, mended, moved_to, performances, performed, slots
from showtime.live.state import DayState, Stage


@dataclass(frozen=True, slots=True)
class Decision:
    """What happens, and what to tell the keeper of it."""

    events: tuple[happened.Event, ...]
    said: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """Nothing happens; why, in the keeper's words."""

    said: str


def hold(state: DayState, now: datetime) -> Decision | Refusal:
    """Everything stops at once and stays stopped."""
    if state.stage is Stage.HELD:
        return Refusal("Already held; r lets it go on.")
    if state.stage not in (Stage.WAITING, Stage.PLAYING):
        return Refusal("There is nothing to hold: the day is not running.")
    return Decision((happened.Held(at=now, why="held by the keeper"),), "Held. r lets it go on.")


def release(state: DayState, now: datetime) -> Decision | Refusal:
    """The figure goes on; what came due in the meantime is missed, unless it is only just due."""
    if state.stage is not Stage.HELD:
        return Refusal("Nothing is held.")
    missed = [
        slot for slot in state.upcoming if slot.starts < now and not _startable(state, slot, now)
    ]
    events = [happened.Missed(at=now, slot=slot, why=state.hold) for slot in missed]
    said = "Going on."
    if missed:
        times = ", ".join(f"{state.day.local(slot.starts):%H:%M}" for slot in missed)
        said += f" Missed while held: {times}."
    return Decision((happened.Released(at=now), *events), said)


def _startable(state: DayState, slot: happened.Slot, now: datetime) -> bool:
    """True when a start that is due may still come now: a promise kept, and no rule broken.

    The start grid is for planning; a start a few seconds off it harms nobody.
    """
    if slot.starts + state.keep_within < now:
        return False
    played = performed(state)
    late = Performance(now, state.day.piece(slot.piece))
    new = breaks(state.day, [*played, late]) - breaks(state.day, played)
    return all(rule == "grid" for rule, _ in new)


def delay(state: DayState, now: datetime, minutes: int) -> Decision | Refusal:
    """The next start comes `minutes` later, or at the first start allowed after that."""
    slot = state.next
    if slot is None:
        return Refusal("Nothing is to come that could be late.")
    wanted = performances(state.day, [slot])[0]
    earliest = max(slot.starts, now) + timedelta(minutes=minutes)
    others = performances(state.day, (s for s in state.upcoming[1:] if s.starts >= earliest))
    promised = [p for p in others if p.starts in state.promised()]
    later = moved_to(state.day, [*performed(state), *promised], wanted, earliest)
    first = [*([later] if later else []), *promised]
    first.sort(key=lambda p: p.starts)
    coming = mended(state.day, performed(state), first, others)
    why = f"{minutes} min late"
    begun = happened.Delayed(at=now, slot=slot, minutes=minutes, until=earliest)
    was = f"{state.day.local(slot.starts):%H:%M} {slot.piece}"
    becomes = (
        f"{state.day.local(later.starts):%H:%M}" if later else "called off: no later start fits"
    )
    return Decision((begun, *rearranged(state, now, coming, why)), f"{was} becomes {becomes}.")


def skip(state: DayState, now: datetime) -> Decision | Refusal:
    """The next start is taken out."""
    slot = state.next
    if slot is None:
        return Refusal("Nothing is to come that could be skipped.")
    coming = performances(state.day, state.upcoming[1:])
    events = rearranged(state, now, coming, "left out by the keeper")
    said = f"{state.day.local(slot.starts):%H:%M} {slot.piece} is left out."
    return Decision((happened.Skipped(at=now, slot=slot), *events), said)


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
