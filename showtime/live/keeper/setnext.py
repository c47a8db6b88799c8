"""The keeper sets when the next performance is to be: `set 14:30`, and `accept` what was offered.

The keeper's will moves promises, with an apology, as being late does; rules it does not move.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from showtime.fair import Performance, Piece
from showtime.live import events as happened
from showtime.live.keeper.actions import (
    Decision,
    Refusal,
    decided,
    kept_first,
    least_played,
)
from showtime.live.keeper.changes import clock_of
from showtime.live.keeper.mend import (
    fits,
    mended,
    performances,
    performed,
    slots,
    standing_in_the_way,
)
from showtime.live.state import DayState, Stage

OFFER_STANDS = timedelta(minutes=2)
"""What was offered in place of a forbidden time can be accepted for so long."""

PAST, OFF = "past", "off"
"""What may forbid a start beside the verifier's rules: it has gone by, or was called off."""

_MINUTE = timedelta(minutes=1)
_WHY = "my keeper set another time"


def set_next(
    state: DayState, now: datetime, start: datetime, piece: Piece | None = None
) -> Decision | Refusal:
    """The next performance is at `start`: it moves there, and what was to come before it goes.

    A time that a rule forbids is refused, with the nearest that is allowed as an offer.
    """
    if state.doubt:
        return Refusal("The time is not known; set the clock first: clock 14:05")
    if state.stage in (Stage.UNBEGUN, Stage.ENDED):
        return Refusal("The day is not running.")
    planned = next((slot for slot in state.upcoming if slot.starts == start), None)
    if planned is not None and (piece is None or planned.piece == piece.name):
        return Refusal(_planned_already(state, planned))
    wanted = Performance(start, piece or _own_piece(state))
    way = _in_the_way(state, now, wanted)
    return _refused(state, now, wanted, way) if way else _set(state, now, wanted)


def may_be_set(state: DayState, now: datetime, start: datetime) -> bool:
    """True when `set_next` would move the next performance to `start`."""
    known = any(slot.starts == start for slot in state.upcoming)
    return not known and not _in_the_way(state, now, Performance(start, _own_piece(state)))


def accept(state: DayState, now: datetime) -> Decision | Refusal:
    """What was offered in place of a forbidden time is set."""
    offer = offered(state, now)
    if offer is None:
        return Refusal("Nothing is offered that could be accepted.")
    return set_next(state, now, offer.starts, state.day.piece(offer.piece))


def offered(state: DayState, now: datetime) -> happened.Slot | None:
    """What `accept` would set at `now`."""
    refused = state.refused
    return refused.offer if refused and now - refused.at <= OFFER_STANDS else None


def _planned_already(state: DayState, planned: happened.Slot) -> str:
    named = f"{clock_of(state, planned.starts)} {planned.piece}"
    coming = state.next
    if coming is None or coming == planned:
        return f"{named} is next already."
    return f"{named} is planned already; {clock_of(state, coming.starts)} comes before it."


def _own_piece(state: DayState) -> Piece:
    return state.day.piece(state.next.piece) if state.next else least_played(state)


def _others(state: DayState, start: datetime) -> tuple[Performance, ...]:
    """What is still to come if the next performance is at `start`."""
    return performances(state.day, (slot for slot in state.upcoming[1:] if slot.starts > start))


def _set(state: DayState, now: datetime, wanted: Performance) -> Decision:
    others = _others(state, wanted.starts)
    first = sorted([wanted, *kept_first(state, others)], key=lambda p: p.starts)
    rest = mended(state.to_plan, performed(state), first, others)
    (to,) = slots([wanted])
    begun = happened.TimeSet(at=now, slot=state.next, becomes=to)
    made = decided(state, now, f"set {clock_of(state, to.starts)}", [begun], rest, _WHY)
    said = f"Next at {clock_of(state, to.starts)}: {made.said}"
    moved = [e.told for e in made.events if isinstance(e, happened.PromiseMoved)]
    if moved:
        told = ", ".join(clock_of(state, each) for each in moved)
        said += f" {told} {'was' if len(moved) == 1 else 'were'} promised; I say sorry for it."
    return replace(made, said=said)


def _in_the_way(state: DayState, now: datetime, wanted: Performance) -> list[tuple[str, str]]:
    """The rules that forbid it beside what was promised, each with its reason in words."""
    if wanted.starts <= now:
        return [(PAST, f"{clock_of(state, wanted.starts)} has passed")]
    must = [*performed(state), *kept_first(state, _others(state, wanted.starts))]
    way = standing_in_the_way(state.to_plan, must, wanted)
    off = any(wanted.span.meets(span) for span in state.barred)
    return [(OFF if off and b.rule == "quiet" else b.rule, b.why) for b in way]


def _refused(
    state: DayState, now: datetime, wanted: Performance, way: list[tuple[str, str]]
) -> Decision:
    before = _nearest(state, now, wanted, -_MINUTE)
    after = _nearest(state, now, wanted, _MINUTE)
    near = [p for p in (before, after) if p is not None]
    offer = min(near, key=lambda p: (abs(p.starts - wanted.starts), p.starts < now), default=None)
    (slot,) = slots([wanted])
    begun = happened.TimeRefused(
        at=now,
        wanted=slot,
        rules=tuple(dict.fromkeys(rule for rule, _ in way)),
        why=_hush(state, wanted),
        offer=slots([offer])[0] if offer else None,
    )
    named = f"{wanted.piece.name} at {clock_of(state, wanted.starts)}"
    said = f"{named} no: {way[0][1].replace(named, 'it', 1)}."
    if offer is None:
        return Decision((begun,), f"{said} No other time is allowed today.")
    times = " or ".join(clock_of(state, p.starts) for p in near)
    return Decision(
        (begun,), f"{said} Allowed: {times}. accept takes {clock_of(state, offer.starts)}."
    )


def _hush(state: DayState, wanted: Performance) -> str:
    """What the quiet is for in which it would sound, in the words of the settings."""
    held = (quiet.why for quiet in state.day.quiet if wanted.span.meets(quiet.forbidden))
    return next(held, "")


def _nearest(
    state: DayState, now: datetime, wanted: Performance, step: timedelta
) -> Performance | None:
    """The first allowed start from `wanted` on in the steps' direction.

    It leaves time to accept it, and no further promise behind.
    """
    known = {slot.starts for slot in state.upcoming[1:]}
    promised = [p.starts for p in kept_first(state, performances(state.day, state.upcoming[1:]))]
    alone = replace(state.to_plan, budgets=())  # judged in a fraction of the time
    played = performed(state)
    for start in _minutes(state, now, wanted.starts, step):
        candidate = Performance(start, wanted.piece)
        if start in known or any(told < start for told in promised):
            continue
        must = [*played, *kept_first(state, _others(state, start))]
        if all(fits(day, must, candidate) for day in (alone, state.to_plan)):
            return candidate
    return None


def _minutes(
    state: DayState, now: datetime, start: datetime, step: timedelta
) -> Iterator[datetime]:
    """The minutes on the grid of starts, one after the other, within the day that is left."""
    first = max(state.day.hours.start, now + OFFER_STANDS)
    last = state.day.hours.end
    moment = min(max(start, first - _MINUTE), last + _MINUTE) if step > timedelta(0) else start
    moment = min(moment, last + _MINUTE).replace(second=0, microsecond=0) + step
    while first <= moment <= last or (moment < first and step > timedelta(0)):
        if moment >= first and state.day.on_grid(moment):
            yield moment
        moment += step
