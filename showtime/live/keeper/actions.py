"""What the keeper does to the day: each decides on events, or refuses with the reason.

Deciding is pure, so any action can be tried without taking it. The running day records what was
decided and lets it happen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Performance, Piece
from showtime.live import events as happened
from showtime.live.fold import fold
from showtime.live.keeper.changes import (
    clock_of,
    difference,
    others_sound,
    rearranged,
    taken_back,
)
from showtime.live.keeper.mend import (
    mended,
    moved_to,
    performances,
    performed,
    standing_in_the_way,
)
from showtime.live.keeper.starting import startable
from showtime.live.state import DayState, Stage


@dataclass(frozen=True, slots=True)
class Decision:
    """What happens, and what to tell the keeper of it."""

    events: tuple[happened.Event, ...]
    said: str

    @property
    def changes(self) -> bool:
        """False when the day stays as it is, and only an offer is made."""
        return not any(isinstance(event, happened.TimeRefused) for event in self.events)


@dataclass(frozen=True, slots=True)
class Refusal:
    """Nothing happens; why, in the keeper's words."""

    said: str


def hold(state: DayState, now: datetime, why: str = "") -> Decision | Refusal:
    """Everything stops at once and stays stopped."""
    if state.stage is Stage.HELD:
        return Refusal("Already held; release lets it go on.")
    if state.stage not in (Stage.WAITING, Stage.PLAYING):
        return Refusal("There is nothing to hold: the day is not running.")
    held = happened.Held(at=now, why=why or "held by the keeper")
    return Decision((held,), "Held. Release lets it go on.")


def release(state: DayState, now: datetime) -> Decision | Refusal:
    """The figure goes on; what came due in the meantime is missed, unless it is only just due."""
    if state.stage is not Stage.HELD:
        return Refusal("Nothing is held.")
    if state.failing is not None and state.failing.lasting:
        return Refusal(f"Not yet: {state.failing.why}.")
    late = [slot for slot in state.upcoming if slot.starts < now]
    missed = [slot for slot in late if not startable(state, slot, now)]
    events: list[happened.Event] = [*taken_back(state, now, missed, state.hold)]
    events += [happened.Missed(at=now, slot=slot, why=state.hold) for slot in missed]
    said = "Going on."
    if missed:
        said += f" Missed while held: {', '.join(clock_of(state, s.starts) for s in missed)}."
    return Decision((happened.Released(at=now), *events), said)


def play(state: DayState, now: datetime, piece: Piece | None = None) -> Decision | Refusal:
    """A performance now, if every rule but the start grid allows it."""
    if state.stage is not Stage.WAITING:
        return Refusal(f"Not while {state.stage}.")
    coming = performances(state.day, state.upcoming)
    wanted = Performance(now.replace(microsecond=0), piece or _next_piece(state))
    must = [*performed(state), *kept_first(state, coming)]
    way = [b for b in standing_in_the_way(state.to_plan, must, wanted) if b.rule != "grid"]
    if way:
        earliest = moved_to(state.to_plan, must, wanted, now)
        later = f" Allowed at {clock_of(state, earliest.starts)}." if earliest else ""
        why = others_sound(state, wanted) or way[0].why
        return Refusal(f"{wanted.piece.name} not now: {why}.{later}")
    slot = happened.Slot(wanted.starts, wanted.piece.name)
    rest = mended(state.to_plan, [*performed(state), wanted], kept_first(state, coming), coming)
    return decided(state, now, f"play {slot.piece}", [happened.Added(at=now, slot=slot)],
                    [wanted, *rest], "the keeper let me play at once")  # fmt: skip


def delay(state: DayState, now: datetime, minutes: int) -> Decision | Refusal:
    """The next start comes `minutes` later, or at the first start allowed after that."""
    slot = state.next
    if slot is None:
        return Refusal("Nothing is to come that could be late.")
    if minutes <= 0:
        return Refusal("Late by how many minutes? Say 1 or more.")
    wanted = performances(state.day, [slot])[0]
    earliest = max(slot.starts, now) + timedelta(minutes=minutes)
    others = performances(state.day, (s for s in state.upcoming[1:] if s.starts >= earliest))
    promised = kept_first(state, others)
    later = moved_to(state.to_plan, [*performed(state), *promised], wanted, earliest)
    first = sorted([*([later] if later else []), *promised], key=lambda p: p.starts)
    rest = mended(state.to_plan, performed(state), first, others)
    begun = happened.Delayed(at=now, slot=slot, minutes=minutes, until=earliest)
    return decided(state, now, f"late {minutes}", [begun], rest, "my keeper is late")


def call_off(state: DayState, now: datetime, start: datetime | None = None) -> Decision | Refusal:
    """The start at that time is taken out; the next one, when none is named."""
    found = [slot for slot in state.upcoming if start in (None, slot.starts)]
    if not found:
        return Refusal(f"Nothing is to come{f' at {clock_of(state, start)}' if start else ''}.")
    gone = performances(state.day, found[:1])[0]
    rest = performances(state.day, (slot for slot in state.upcoming if slot != found[0]))
    begun = happened.CalledOff(at=now, slot=found[0], until=gone.ends)
    words = f"off {clock_of(state, gone.starts)}" if start else "skip"
    return decided(state, now, words, [begun], rest, "my keeper called it off")


def add(
    state: DayState, now: datetime, start: datetime, piece: Piece | None = None
) -> Decision | Refusal:
    """One more start, if the rules allow it beside what is promised; the rest gives way."""
    if start <= now:
        return Refusal(f"{clock_of(state, start)} has passed.")
    coming = performances(state.day, state.upcoming)
    wanted = Performance(start, piece or least_played(state))
    must = [*performed(state), *kept_first(state, coming)]
    way = standing_in_the_way(state.to_plan, must, wanted)
    if way:
        near = moved_to(state.to_plan, must, wanted, start)
        later = f" The next time that is: {clock_of(state, near.starts)}." if near else ""
        return Refusal(f"{wanted.piece.name} at {clock_of(state, start)} no: {way[0].why}.{later}")
    first = sorted([wanted, *kept_first(state, coming)], key=lambda p: p.starts)
    rest = mended(state.to_plan, performed(state), first, coming)
    slot = happened.Slot(wanted.starts, wanted.piece.name)
    begun = happened.Added(at=now, slot=slot)
    return decided(state, now, f"add {clock_of(state, start)}", [begun], rest, "")


def quiet(
    state: DayState, now: datetime, start: datetime, end: datetime, why: str
) -> Decision | Refusal:
    """Nothing sounds from `start` to `end`; what plays then is stopped.

    It begins when what has sounded so far is over, even if a start in the past was said.
    """
    if end <= max(start, now):
        return Refusal("A quiet time must end after it starts, and after now.")
    why = why or "quiet was asked for"
    stop = _stopped(state, now, why) if start <= now else ()
    over = max((p.ends for p in performed(fold(state, stop))), default=now)
    begins = max(start, now, over) if start <= now else start
    whole = begins.replace(microsecond=0) + timedelta(seconds=begins.microsecond > 0)
    begun = happened.QuietAdded(at=now, start=whole, end=end, why=why)
    words = f"quiet {clock_of(state, start)} {clock_of(state, end)}"
    return _within_new_limits(state, now, words, [*stop, begun], begun.why)


def close(state: DayState, now: datetime, closes: datetime) -> Decision | Refusal:
    """The day ends at `closes`, earlier than planned."""
    if not now < closes < state.day.hours.end:
        return Refusal(
            f"Between now and {clock_of(state, state.day.hours.end)}, when it closes anyway."
        )
    begun = happened.ClosedEarly(at=now, closes=closes)
    return _within_new_limits(
        state, now, f"close {clock_of(state, closes)}", [begun], "we close early today"
    )


def choose_piece(state: DayState, now: datetime, piece: Piece) -> Decision | Refusal:
    """The next start plays this piece."""
    slot = state.next
    if slot is None:
        return Refusal("Nothing is to come.")
    if slot.piece == piece.name:
        return Refusal(f"{piece.name} is next already.")
    others = performances(state.day, state.upcoming[1:])
    wanted = Performance(slot.starts, piece)
    must = [*performed(state), *kept_first(state, others)]
    way = standing_in_the_way(state.to_plan, must, wanted)
    if way:
        return Refusal(f"{piece.name} at {clock_of(state, slot.starts)} no: {way[0].why}.")
    first = sorted([wanted, *kept_first(state, others)], key=lambda p: p.starts)
    rest = mended(state.to_plan, performed(state), first, others)
    begun = happened.PieceChosen(at=now, slot=slot, piece=piece.name)
    return decided(state, now, f"piece {piece.name}", [begun], rest, "")


def given_back(state: DayState, now: datetime) -> tuple[happened.Event, ...]:
    """The clock was set back to `now`: starts that were missed and lie ahead again are to come,
    as far as they fit beside what came of the day meanwhile."""
    again = performances(state.day, (slot for slot in state.missed if slot.starts > now))
    if not again:
        return ()
    coming = performances(state.day, (slot for slot in state.upcoming if slot.starts >= now))
    first = [*kept_first(state, coming), *coming]
    return rearranged(state, now, mended(state.to_plan, performed(state), first, again), "")


def put_right(state: DayState, now: datetime, why: str) -> tuple[happened.Event, ...]:
    """The rest of the day as far as it fits what has sounded: a late start may reach into a cap."""
    coming = performances(state.day, state.upcoming)
    rest = mended(state.to_plan, performed(state), kept_first(state, coming), coming)
    return () if rest == coming else rearranged(state, now, rest, why)


def decided(
    state: DayState,
    now: datetime,
    words: str,
    begun: Sequence[happened.Event],
    coming: Sequence[Performance],
    why: str,
) -> Decision:
    """An action in these words: what it begins with, and what becomes of the day."""
    after = fold(state, begun)
    events = (
        happened.ActionTaken(at=now, words=words),
        *begun,
        *rearranged(after, now, sorted(coming, key=lambda p: p.starts), why),
    )
    return Decision(events, difference(state, events))


def _within_new_limits(
    state: DayState, now: datetime, words: str, begun: Sequence[happened.Event], why: str
) -> Decision:
    """The rest of the day as far as it fits the limits that the events bring."""
    after = fold(state, begun)
    coming = performances(state.day, state.upcoming)
    rest = mended(after.to_plan, performed(after), kept_first(state, coming), coming)
    return decided(state, now, words, begun, rest, why)


def _stopped(state: DayState, now: datetime, why: str) -> tuple[happened.Stopped, ...]:
    playing = state.playing
    return (happened.Stopped(at=now, slot=playing, why=why),) if playing else ()


def kept_first(state: DayState, coming: Iterable[Performance]) -> list[Performance]:
    """Those that were promised or that the keeper added: they come before all others."""
    wanted = {slot.starts for slot in state.wanted}
    return [p for p in coming if p.starts in state.promised() or p.starts in wanted]


def _next_piece(state: DayState) -> Piece:
    return state.day.piece(state.next.piece) if state.next else least_played(state)


def least_played(state: DayState) -> Piece:
    names = [played.slot.piece for played in state.played] + [s.piece for s in state.upcoming]
    return min(state.day.pieces, key=lambda piece: names.count(piece.name))
