"""What a maker records so that the figure speaks in that voice: fragments that make every
sentence of a bank, as few as will do, in an order in which they are read out well."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from random import Random

from showtime.wording.bank import Bank
from showtime.wording.filling import TELLING
from showtime.wording.fragments_covering import (
    Piece,
    at_least,
    is_said,
    missing,
    smallest,
    uncovered,
)
from showtime.wording.fragments_joins import Sparing, drawn
from showtime.wording.fragments_neighbours import Neighbours, neighbours
from showtime.wording.fragments_said import everything_filled
from showtime.wording.fragments_stretches import Ending, ending_of, spoken_words, stretches
from showtime.wording.fragments_units import Forms, Unit
from showtime.wording.situation import Kind, Situation

PAUSE_S = 1.0
"""Silence that a reader leaves between fragments."""

_SEED = 1


class Group(StrEnum):
    """Fragments that are read one after the other, in one tone."""

    TIMES = "times that go on"
    TIMES_AT_REST = "times before a pause"
    NAMES = "names and days that go on"
    NAMES_AT_REST = "names and days before a pause"
    PHRASES = "phrases that go on"
    PHRASES_AT_REST = "phrases before a pause"
    QUESTIONS = "questions"


def seconds_to_say(text: str) -> float:
    """By its letters, at about 160 words a minute; common practice, not a measurement."""
    return 0.25 + 0.065 * len(text)


@dataclass(frozen=True, slots=True)
class Fragment:
    """One thing to record. `text` is as it is written in the script, and names the fragment: its
    sign, if any, tells how it ends. `seconds` is about what it takes to say."""

    text: str
    group: Group

    @property
    def seconds(self) -> float:
        return seconds_to_say(self.text)


@dataclass(frozen=True, slots=True)
class Script:
    """Fragments in reading order, and what is known of them.

    `fewest` is the size of the smallest list that was found and `no_fewer_than` a bound for any;
    `joins` is the mean number of joins in a sentence with this list, `joins_of_fewest` with that.
    """

    language: str
    fragments: tuple[Fragment, ...]
    fewest: int
    no_fewer_than: int
    joins: float
    joins_of_fewest: float

    @property
    def minutes(self) -> float:
        """About as long as it takes to read all out once."""
        return sum(each.seconds + PAUSE_S for each in self.fragments) / 60


@dataclass(frozen=True, slots=True)
class Missing:
    """`fragments` that are still to be recorded, and texts of recorded ones that no sentence of
    the bank has any more."""

    fragments: tuple[Fragment, ...]
    idle: tuple[str, ...]


def script_of(
    bank: Bank,
    situations: Iterable[Situation],
    *,
    kinds: Sequence[Kind] = tuple(Kind),
    worth: float,
) -> Script:
    """The fragments for all that the bank may say in situations of those kinds.

    `situations` give the times, days and names that may be filled in. `worth`: how many joins in a
    sentence a fragment beyond the fewest must spare to be asked for. Every sentence can be put
    together from the fragments; that is proven, not sampled (see `uncovered`).
    """
    forms, said, telling = _said(bank, situations, kinds)
    fewest = smallest(said)
    pieces, spared, of_fewest = _sparing(forms, said, fewest, worth)
    naming = _Naming(said, telling)
    fragments = sorted({naming.fragment(piece) for piece in pieces}, key=naming.reading_order)
    return Script(bank.language, tuple(fragments), len(fewest), at_least(said), spared, of_fewest)


def missing_from(
    bank: Bank,
    situations: Iterable[Situation],
    recorded: Sequence[str],
    *,
    kinds: Sequence[Kind] = tuple(Kind),
) -> Missing:
    """What is still to be recorded beside the recorded texts, and which of those nothing uses.

    Of the smallest list those are asked for that the recorded ones cannot make; none when the
    recorded ones make every sentence already, by whatever joins.
    """
    _, said, telling = _said(bank, situations, kinds)
    pieces = {text: piece_of(text) for text in recorded}
    having = [piece for piece in pieces.values() if piece is not None]
    needed = missing(said, having)
    naming = _Naming(said, telling)
    fragments = sorted({naming.fragment(piece) for piece in needed}, key=naming.reading_order)
    idle = [text for text, piece in pieces.items() if piece is None or not is_said(said, piece)]
    return Missing(tuple(fragments), tuple(idle))


def piece_of(text: str) -> Piece | None:
    """A fragment's text as words and how they end; None for a text that is not one stretch."""
    found = stretches(text)
    return (found[0].words, found[0].ending) if len(found) == 1 else None


def _said(
    bank: Bank, situations: Iterable[Situation], kinds: Sequence[Kind]
) -> tuple[Forms, Neighbours, frozenset[str]]:
    """The bank's forms, their neighbours, and the words that tell times."""
    filled = everything_filled(bank.clock, situations)
    forms = Forms(bank, filled, kinds)
    times = (each.plain for rule in TELLING for each in filled.get(rule, ()))
    telling = frozenset(word for text in times for word in spoken_words(text))
    return forms, neighbours(forms), telling


def _sparing(
    forms: Forms, said: Neighbours, fewest: list[Piece], worth: float
) -> tuple[list[Piece], float, float]:
    """The pieces with those that are worth their recording, and the joins with and without."""
    stretches_drawn, sentences = drawn(forms, Random(_SEED))
    sparing = Sparing(stretches_drawn, fewest, frozenset(said.filled))
    before = sparing.joins / sentences
    pieces = list(fewest)
    while (best := sparing.best()) is not None and best[0] >= worth * sentences:
        pieces.append(best[1])
        sparing.join_best()
    for idle in sorted(set(pieces) - sparing.used()):
        left = [piece for piece in pieces if piece != idle]
        if uncovered(said, left) is None:
            pieces = left
    return pieces, sparing.joins / sentences, before


class _Naming:
    """Pieces as they are written in a script, and their places in it."""

    def __init__(self, said: Neighbours, telling: frozenset[str]) -> None:
        self._said = said
        self._telling = telling
        self._names = {unit for unit in said.filled if not telling.issuperset(unit)}
        self._places = {unit: place for place, unit in enumerate(said.after)}
        self._order: dict[str, tuple[int, int]] = {}

    def fragment(self, piece: Piece) -> Fragment:
        words, ending = piece
        units = self._units(words)
        text = " ".join(self._said.written.get(unit, " ".join(unit)) for unit in units)
        if ending is not Ending.ON:
            text += self._sign(units[-1], ending)
        self._order[text] = (len(units), self._places.get(units[0], 0))
        return Fragment(text, self._group(units, ending))

    def reading_order(self, fragment: Fragment) -> tuple[int, int, int, int, str]:
        """By tone; short before long among times, then as the bank has them."""
        length, place = self._order[fragment.text]
        timely = fragment.group in (Group.TIMES, Group.TIMES_AT_REST)
        group = list(Group).index(fragment.group)
        return group, length if timely else 0, place, length, fragment.text

    def _units(self, words: Unit) -> list[Unit]:
        """The words as units, the longest at each place."""
        found, begin = list[Unit](), 0
        while begin < len(words):
            ends = range(len(words), begin, -1)
            end = next((e for e in ends if words[begin:e] in self._places), begin + 1)
            found.append(words[begin:end])
            begin = end
        return found

    def _sign(self, unit: Unit, ending: Ending) -> str:
        """The sign that the bank has there; of several, the one that ends a sentence."""
        signs = self._said.signs.get(unit, set())
        fitting = [sign for sign in ".!…:;,?" if sign in signs and ending_of(sign) is ending]
        return fitting[0] if fitting else ending.value

    def _group(self, units: list[Unit], ending: Ending) -> Group:
        if ending is Ending.ASKS:
            return Group.QUESTIONS
        rests = ending is Ending.RESTS
        if all(self._telling.issuperset(unit) for unit in units):
            return Group.TIMES_AT_REST if rests else Group.TIMES
        if all(unit in self._names for unit in units):
            return Group.NAMES_AT_REST if rests else Group.NAMES
        return Group.PHRASES_AT_REST if rests else Group.PHRASES
