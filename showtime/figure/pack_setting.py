"""What is said while the clock is set by hand: the time that was understood, and what it shows now.

Any minute of the day may be dialled, so a few sentences are taken, and every minute is put in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from random import Random

from showtime.fair import Day
from showtime.figure.pack_choice import heard_as
from showtime.figure.pack_pieces import Pieces, Token, words_of
from showtime.figure.pack_windows import PackError
from showtime.wording import Bank, Kind, Situation, choose

WHOLE_DAY = 1440
SENTENCES = {Kind.UNDERSTOOD: 3, Kind.CLOCK_SET: 2}
"""Of each situation, for every minute."""

_DRAWN = 80
_EXAMPLE = 14 * 60 + 23
"""A minute whose name has all the words that a time may have."""

Fill = Callable[[int, int], tuple[str, ...]]


@dataclass(frozen=True)
class Carrier:
    """A sentence with a place for the time, which `fill` names as the grammar wants it there."""

    before: str
    after: str
    fill: Fill
    template: int

    def texts(self, minute: int) -> Iterator[str]:
        for said in self.fill(*divmod(minute, 60)):
            yield self.before + said + self.after


def situations(day: Day, kind: Kind) -> list[Situation]:
    """One for each minute of the day; the clock then shows the minute that is told."""
    midnight = datetime.combine(day.date, time(), day.signboard.timezone)
    return [
        Situation(kind, at, day.signboard, at=at)
        for at in (midnight + timedelta(minutes=minute) for minute in range(WHOLE_DAY))
    ]


def for_every_minute(
    bank: Bank, of: Sequence[Situation], voices: Sequence[Pieces], luck: Random
) -> list[list[tuple[Token, ...]]]:
    """The rows of clips for each minute, at least one; from the same few sentences."""
    kind = of[0].kind
    carriers = _carriers(bank, of[_EXAMPLE], luck)
    chosen: list[list[tuple[Token, ...] | None]] = []
    for carrier in carriers:
        rows = [
            _row(carrier, minute, bank, situation, voices) for minute, situation in enumerate(of)
        ]
        if any(rows):
            chosen.append(rows)
        if len(chosen) == SENTENCES[kind] and all(any(rows) for rows in zip(*chosen, strict=True)):
            break
    every = [[row for row in rows if row] for rows in zip(*chosen, strict=True)]
    if not every or not all(every):
        raise PackError(
            f"the {bank.language} bank cannot say every minute of the day in '{kind}'; add a "
            "template with <time> to it"
        )
    return every


def _carriers(bank: Bank, example: Situation, luck: Random) -> list[Carrier]:
    """Sentences of different templates first, the shortest of each; then the others."""
    clock = bank.clock
    fills: tuple[Fill, ...] = (clock.it_is, clock.at, clock.idioms)
    found: dict[tuple[str, str], Carrier] = {}
    said: list[str] = []
    for _ in range(_DRAWN):
        sentence = choose(bank, example, said, luck)
        said.append(sentence.text)
        carrier = _carrier(sentence.text, sentence.template, fills)
        if carrier is not None:
            found.setdefault((carrier.before, carrier.after), carrier)
    short_first = sorted(found.values(), key=lambda each: len(each.before + each.after))
    firsts = list({each.template: each for each in reversed(short_first)}.values())[::-1]
    return [*firsts, *(each for each in short_first if each not in firsts)]


def _carrier(text: str, template: int, fills: Sequence[Fill]) -> Carrier | None:
    """The sentence around its time; the longest name of the time that stands in it counts."""
    lower = text.lower()
    named = [(said, fill) for fill in fills for said in fill(*divmod(_EXAMPLE, 60))]
    for said, fill in sorted(named, key=lambda each: -len(each[0])):
        if lower.count(said.lower()) == 1:
            begin = lower.index(said.lower())
            return Carrier(text[:begin], text[begin + len(said) :], fill, template)
    return None


def _row(
    carrier: Carrier, minute: int, bank: Bank, situation: Situation, voices: Sequence[Pieces]
) -> tuple[Token, ...] | None:
    for voice in voices:
        for text in carrier.texts(minute):
            row = voice.row(text)
            if row is not None and heard_as(bank, words_of(row), situation):
                return row
    return None


def at(situation: Situation, minute: int) -> Situation:
    """The same situation for another minute of its day."""
    assert situation.at is not None
    midnight = situation.at.astimezone(situation.signboard.timezone).replace(hour=0, minute=0)
    moment = midnight + timedelta(minutes=minute)
    return replace(situation, at=moment, now=moment)
