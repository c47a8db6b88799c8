"""Everything that a stall's settings can put into a sentence, as situations to take it from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime, time, timedelta

from showtime.fair import Stall
from showtime.wording.clock import FEW_MINUTES, WHOLE_DAY, Clock
from showtime.wording.filling import filling
from showtime.wording.grammar import Filling
from showtime.wording.situation import Bar, Kind, Mood, Situation


def situations_of(stall: Stall, *, every_minute: bool = False) -> Iterator[Situation]:
    """Situations that together have all that the stall's built-in rules may say.

    The times are those on the stall's grid of starts around the clock, as told on the day itself
    and on the day before; with `every_minute` all 1,440 of them. Minutes to go are all 0 to 59;
    days are the stall's own; names are those of its pieces and quiet intervals.
    """
    first = stall.days[0]
    midnight = datetime.combine(first.date, time(), stall.signboard.timezone)
    step = 1 if every_minute else max(int(first.wishes.start_on / timedelta(minutes=1)), 1)
    plain = Situation(
        Kind.NEXT, midnight, stall.signboard, moods=frozenset(Mood), bars=frozenset(Bar)
    )
    for minute in range(0, WHOLE_DAY, step):
        at = midnight + timedelta(minutes=minute)
        yield from (replace(plain, at=at, now=now) for now in _asked_at(at, midnight))
    for to_go in range(FEW_MINUTES):
        noon = midnight + timedelta(hours=12)
        yield replace(plain, at=noon, now=noon - timedelta(minutes=to_go))
    for earlier in stall.days:
        for later in stall.days:
            if earlier.date <= later.date:
                yield replace(plain, at=later.hours.start, now=earlier.hours.start)
    for day in stall.days:
        names = (piece.name for piece in day.pieces)
        yield from (replace(plain, at=day.hours.start, piece=name) for name in names)
        yield from (replace(plain, at=day.hours.start, why=quiet.why) for quiet in day.quiet)


def _asked_at(at: datetime, midnight: datetime) -> tuple[datetime, ...]:
    """When one may ask for that start: in the night, in the morning, right before, the day before;
    a language may name the part of the day by when it speaks of it."""
    return midnight, min(at, midnight + timedelta(hours=8)), at, at - timedelta(days=1)


def everything_filled(clock: Clock, situations: Iterable[Situation]) -> Filling:
    """What the built-in rules say in any of the situations, each text once, in order."""
    gathered: dict[str, dict[str, None]] = {}
    kept = {}
    for situation in situations:
        for rule, words in filling(clock, situation).items():
            texts = gathered.setdefault(rule, {})
            for said in words:
                if said.plain not in texts:
                    texts[said.plain] = None
                    kept[said.plain] = said
    return {rule: tuple(kept[text] for text in texts) for rule, texts in gathered.items()}
