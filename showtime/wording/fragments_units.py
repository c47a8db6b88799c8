"""A phrase bank as units that are never cut, and which of them may follow which.

A unit is a run of words that the bank's author wrote in one piece, between signs, alternatives
and rules; a name, a day; or one word of a time of day, for times are put together from few words.
A speaker breathes at those places, so they are where a recording may be cut.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import accumulate, pairwise
from random import Random
from typing import TypeAlias

from showtime.wording.bank import Bank
from showtime.wording.filling import OF_A_START, TELLING, unsaid
from showtime.wording.fragments_stretches import NOT_HEARD, SIGN, spoken_words
from showtime.wording.grammar import NULL, Alternatives, Expansion, Filling, Reference, Sequence
from showtime.wording.situation import Kind
from showtime.wording.surface import Word

Unit: TypeAlias = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """One thing in a template: a unit's words, or a sign; `filled`: from a built-in rule."""

    words: Unit
    sign: str = ""
    filled: bool = False
    written: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    parts: tuple[Form, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    options: tuple[Form, ...]
    bounds: tuple[float, ...]


Form: TypeAlias = Said | Row | Choice


class Forms:
    """The bank's templates by kind of situation, with everything filled in that may be."""

    def __init__(self, bank: Bank, filled: Filling, kinds: Iterable[Kind] = Kind) -> None:
        self._filled = filled
        self._known: dict[int, Form] = {}
        self._kept = list[Expansion]()
        self.by_kind: dict[Kind, Choice] = {}
        for kind in kinds:
            options, weights = list[Form](), list[float]()
            for tells in (True, False):
                void = unsaid(filled) if tells else unsaid(filled) | OF_A_START
                for each in bank.choosable(kind, tells, void):
                    options.append(self._form(each.expansion))
                    weights.append(each.template.weight)
            self.by_kind[kind] = Choice(tuple(options), tuple(accumulate(weights)))

    def _form(self, expansion: Expansion) -> Form:
        if id(expansion) not in self._known:
            self._known[id(expansion)] = self._made(expansion)
            self._kept.append(expansion)  # An identity is only good while its owner lives.
        return self._known[id(expansion)]

    def _made(self, expansion: Expansion) -> Form:
        if isinstance(expansion, Word):
            return _literal(expansion.plain)
        if isinstance(expansion, Reference):
            texts = [said.plain for said in self._filled[expansion.name]]
            apart = expansion.name in TELLING
            return _choice([_filling(text, apart) for text in texts])
        if isinstance(expansion, Alternatives):
            return Choice(tuple(map(self._form, expansion.options)), expansion.bounds)
        parts, run = list[Form](), ""
        for part in _clung(expansion.parts, self._filled):
            if isinstance(part, Word):
                run += part.plain
                continue
            parts += [_literal(run)] if run.strip() else []
            parts.append(self._form(part))
            run = ""
        parts += [_literal(run)] if run.strip() else []
        return Row(tuple(parts))


def _choice(options: list[Form]) -> Choice:
    return Choice(tuple(options), tuple(accumulate([1.0] * len(options))))


def _literal(text: str) -> Form:
    return _row(_cut(text, apart=False, filled=False))


def _filling(text: str, apart: bool) -> Form:
    return _row(_cut(text, apart=apart, filled=True))


def _row(parts: Iterable[Form]) -> Form:
    found = tuple(parts)
    return found[0] if len(found) == 1 else Row(found)


def _cut(text: str, *, apart: bool, filled: bool) -> Iterator[Said]:
    """The units and signs of a text; `apart`: each word is a unit."""
    run = ""
    for part in text.split():
        sign = SIGN.search(part)
        dash = part in ("-", "–", "—")
        run += "" if dash else " " + (part[: sign.start()] if sign else part)
        if sign or dash:
            yield from _units(run, apart, filled)
            yield Said((), sign[1] if sign else ",")
            run = ""
    yield from _units(run, apart, filled)


def _units(run: str, apart: bool, filled: bool) -> Iterator[Said]:
    for part in run.split() if apart else [run]:
        words = spoken_words(part)
        if words:
            yield Said(words, filled=filled, written=" ".join(part.split()).strip(NOT_HEARD))


def _clung(parts: tuple[Expansion, ...], filled: Filling) -> Iterator[Expansion]:
    """The parts, with endings such as 's put to what they cling to, since they are no word."""
    for part, following in pairwise((*parts, NULL)):
        clings = isinstance(following, Word) and _clings(following)
        if isinstance(part, Word) and _clings(part) and part is not parts[0]:
            continue
        if clings and not isinstance(part, Word) and isinstance(following, Word):
            yield _with_ending(part, following.plain, filled)
        elif clings and isinstance(part, Word) and isinstance(following, Word):
            yield _joined(part, following.plain)
        else:
            yield part


def _clings(said: Word) -> bool:
    return bool(said.plain) and not said.plain[0].isspace() and any(map(str.isalnum, said.plain))


def _joined(said: Word, ending: str) -> Word:
    return Word(said.plain + ending, said.capital + ending, said.ends, said.passes)


def _with_ending(expansion: Expansion, ending: str, filled: Filling) -> Expansion:
    """Every text of the expansion with `ending` at its end."""
    if isinstance(expansion, Word):
        return _joined(expansion, ending)
    if isinstance(expansion, Reference):
        options: tuple[Expansion, ...] = filled[expansion.name]
        bounds = tuple(accumulate([1.0] * len(options)))
    elif isinstance(expansion, Alternatives):
        options, bounds = expansion.options, expansion.bounds
    else:
        *before, last = expansion.parts or (NULL,)
        return Sequence((*before, _with_ending(last, ending, filled)))
    return Alternatives(tuple(_with_ending(each, ending, filled) for each in options), bounds)


def said_at_random(form: Form, random: Random) -> list[Said]:
    """One of the form's sentences by its weights, as units and signs."""
    if isinstance(form, Said):
        return [form]
    if isinstance(form, Row):
        return [said for part in form.parts for said in said_at_random(part, random)]
    place = min(bisect(form.bounds, random.random() * form.bounds[-1]), len(form.options) - 1)
    return said_at_random(form.options[place], random)
