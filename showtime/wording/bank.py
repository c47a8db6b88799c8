"""A phrase bank: templates for every situation, and the rules that they share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from showtime.fair import Where
from showtime.settings import Problem
from showtime.wording.clock import Clock
from showtime.wording.draft import Source
from showtime.wording.filling import MOODS, filling, unsaid
from showtime.wording.grammar import Expansion, Filling, Settling
from showtime.wording.situation import Kind, Situation
from showtime.wording.texts import Node, evenly, texts_of


@dataclass(frozen=True, slots=True, eq=False)
class Template:
    """One template of a situation. `number` counts from 1 in it; `tells`: it tells the start."""

    number: int
    expansion: Expansion
    weight: float
    tells: bool
    where: Where


@dataclass(frozen=True, slots=True, eq=False)
class Choosable:
    """A template as it can be said in some situation: what has no words there is left out."""

    template: Template
    expansion: Expansion


_LISTS_KEPT = 16
_Key: TypeAlias = tuple[Kind, tuple[tuple[str, ...], ...]]


def _key(kind: Kind, filled: Filling) -> _Key:
    # A mood that holds says one empty word, and one that does not says none at all.
    return kind, tuple(tuple(word.plain for word in words) for words in filled.values())


def _of_each(
    choosable: tuple[Choosable, ...], filled: Filling, most: int
) -> tuple[tuple[int, str], ...]:
    return tuple(
        (each.template.number, text)
        for each in choosable
        for text in evenly(texts_of([each.expansion], filled), most)
    )


@dataclass(frozen=True, eq=False)
class Bank:
    """A language's templates. It says something in every situation; warnings do not hinder it.

    `pronounced`: words that the voice would say wrong, and how they are to be spelt for it; a
    spelling in [[ ]] is in the voice's own phonemes. `sources`: the rules and templates as they
    stand in the file; `named_at`: where each rule's name does. `otherwise` speaks in situations for
    which there are no templates here: a maker may write of those alone that matter to them.
    """

    language: str
    clock: Clock
    rules: Mapping[str, Expansion]
    templates: Mapping[Kind, tuple[Template, ...]]
    warnings: tuple[Problem, ...] = ()
    pronounced: Mapping[str, str] = field(default_factory=dict)
    sources: tuple[Source, ...] = field(default=(), repr=False)
    named_at: Mapping[str, Where] = field(default_factory=dict, repr=False)
    otherwise: Bank | None = field(default=None, repr=False)
    _lists: dict[_Key, tuple[tuple[int, str], ...]] = field(default_factory=dict, repr=False)
    _settled: dict[tuple[Kind, bool, frozenset[str]], tuple[Choosable, ...]] = field(
        default_factory=dict, repr=False
    )

    def count(self, situation: Situation) -> int:
        """The exact number of different sentences for the situation. Raises TooTangledError."""
        return self._texts(situation).count

    def sentences(self, situation: Situation, limit: int) -> Iterator[str]:
        """Different sentences for the situation, spread evenly over all of them, one by one."""
        return evenly(self._texts(situation), limit)

    def samples(self, situation: Situation, most: int) -> tuple[tuple[int, str], ...]:
        """Up to `most` different sentences of each template that can be said, spread evenly over
        all of its own, with the template's number."""
        filled = filling(self.clock, situation)
        choosable = self.choosable(situation.kind, situation.at is not None, unsaid(filled))
        return _of_each(choosable, filled, most)

    def choosable(self, kind: Kind, tells: bool, void: frozenset[str]) -> tuple[Choosable, ...]:
        """The templates that can be said when the built-in rules `void` have nothing to say."""
        if kind not in self.templates and self.otherwise is not None:
            return self.otherwise.choosable(kind, tells, void)
        key = (kind, tells, void)
        if key not in self._settled:
            settling = Settling(self.rules, void, MOODS)
            pairs = [
                (template, settling.settle(template.expansion))
                for template in self.templates[kind]
                if template.tells is tells
            ]
            self._settled[key] = tuple(
                Choosable(template, settled) for template, settled in pairs if settled is not None
            )
        return self._settled[key]

    def has_listed(self, kind: Kind, filled: Filling) -> bool:
        """True when `listed` was asked for this before and is quick."""
        return _key(kind, filled) in self._lists

    def listed(
        self, kind: Kind, choosable: tuple[Choosable, ...], filled: Filling, most: int
    ) -> tuple[tuple[int, str], ...]:
        """Up to `most` different sentences of each template, with the template's number."""
        key = _key(kind, filled)
        if key not in self._lists:
            if len(self._lists) >= _LISTS_KEPT:
                self._lists.clear()
            self._lists[key] = _of_each(choosable, filled, most)
        return self._lists[key]

    def _texts(self, situation: Situation) -> Node:
        filled = filling(self.clock, situation)
        choosable = self.choosable(situation.kind, situation.at is not None, unsaid(filled))
        return texts_of([each.expansion for each in choosable], filled)
