"""What is said while the clock is set by hand: the time that was understood, and what it shows now.

Any minute of the day may be dialled, so a few sentences are taken, and every minute is put in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from math import fsum, inf
from random import Random

from showtime.fair import Day
from showtime.figure.pack_choice import heard_as
from showtime.figure.pack_pieces import Piece, Pieces, Token, pieces_in, words_of
from showtime.figure.pack_windows import PackError
from showtime.wording import Bank, Kind, Situation, choose

WHOLE_DAY = 1440
SENTENCES = {Kind.UNDERSTOOD: 3, Kind.CLOCK_SET: 2}
"""Of each situation, for every minute."""

_DRAWN = 80
_CARRIERS = 24
_SAMPLE = tuple((7 * minute % 24) * 60 + minute for minute in range(60))
"""Minutes with every hour and every minute among them."""

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


MinuteRows = list[tuple[Token, ...] | None]
"""For each minute of the day the row of one sentence, or None where it cannot be said."""


class EveryMinute:
    """Sentences of one language for every minute. What was taken for one situation, costs nothing
    in the next."""

    def __init__(self, bank: Bank, voices: Sequence[Pieces], luck: Random) -> None:
        self._bank = bank
        self._voices = voices
        self._luck = luck
        self._taken: set[Piece] = set()

    def rows(self, of: Sequence[Situation]) -> list[list[tuple[Token, ...]]]:
        """The rows of clips for each minute, at least one; from the same few sentences. `of` is the
        situation at each minute."""
        carriers = _carriers(self._bank, of[_EXAMPLE], self._luck)[:_CARRIERS]
        tried = {each: self._sample(each, of) for each in carriers}
        usable = {carrier: pieces for carrier, pieces in tried.items() if pieces}
        chosen: list[MinuteRows] = []
        for carrier in self._cheapest(usable, SENTENCES[of[0].kind]):
            chosen.append([self._row(carrier, minute, of[minute]) for minute in range(WHOLE_DAY)])
        if not chosen or not all(any(rows) for rows in zip(*chosen, strict=True)):
            raise PackError(
                f"the {self._bank.language} bank cannot say every minute of the day in "
                f"'{of[0].kind}'; add a template with <time> to it"
            )
        self._taken |= {piece for rows in chosen for row in rows if row for piece in pieces_in(row)}
        return [[row for row in rows if row] for rows in zip(*chosen, strict=True)]

    def _sample(self, carrier: Carrier, of: Sequence[Situation]) -> frozenset[Piece]:
        """The pieces that some minutes of all kinds take."""
        rows = [self._row(carrier, minute, of[minute]) for minute in _SAMPLE]
        return frozenset(piece for row in rows if row for piece in pieces_in(row))

    def _cheapest(self, usable: dict[Carrier, frozenset[Piece]], count: int) -> list[Carrier]:
        """Carriers of different templates, if there are so many, that need little new sound:
        whichever is the first, each next one is the cheapest beside those before."""
        best: tuple[float, list[Carrier]] = (inf, [])
        for first in usable:
            row, taken = [first], self._taken | usable[first]
            while len(row) < min(count, len(usable)):
                templates = {each.template for each in row}
                left = [each for each in usable if each not in row]
                left = [each for each in left if each.template not in templates] or left
                row.append(min(left, key=lambda each: _seconds(usable[each] - taken)))
                taken |= usable[row[-1]]
            best = min(best, (_seconds(taken - self._taken), row), key=lambda each: each[0])
        return best[1]

    def _row(self, carrier: Carrier, minute: int, situation: Situation) -> tuple[Token, ...] | None:
        for voice in self._voices:
            for text in carrier.texts(minute):
                row = voice.row(text)
                if row is not None and heard_as(self._bank, words_of(row), situation):
                    return row
        return None


def _seconds(pieces: Iterable[Piece]) -> float:
    return fsum(piece.seconds for piece in pieces)


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
