"""A phrase bank: templates for every situation, and the rules that they share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from showtime.fair import Where
from showtime.settings import Problem
from showtime.wording.clock import Clock
from showtime.wording.filling import filling, unsaid
from showtime.wording.grammar import Expansion, Settling
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


@dataclass(frozen=True, eq=False)
class Bank:
    """A language's templates. It says something in every situation; warnings do not hinder it."""

    language: str
    clock: Clock
    rules: Mapping[str, Expansion]
    templates: Mapping[Kind, tuple[Template, ...]]
    warnings: tuple[Problem, ...] = ()
    _settled: dict[tuple[Kind, bool, frozenset[str]], tuple[Choosable, ...]] = field(
        default_factory=dict, repr=False
    )

    def count(self, situation: Situation) -> int:
        """How many different sentences there are for the situation, exactly. Raises TooTangled."""
        return self._texts(situation).count

    def sentences(self, situation: Situation, limit: int) -> Iterator[str]:
        """Different sentences for the situation, spread evenly over all of them, one by one."""
        return evenly(self._texts(situation), limit)

    def choosable(self, kind: Kind, tells: bool, void: frozenset[str]) -> tuple[Choosable, ...]:
        """The templates that can be said when the built-in rules `void` have nothing to say."""
        key = (kind, tells, void)
        if key not in self._settled:
            settling = Settling(self.rules, void)
            pairs = [
                (template, settling.settle(template.expansion))
                for template in self.templates[kind]
                if template.tells is tells
            ]
            self._settled[key] = tuple(
                Choosable(template, settled) for template, settled in pairs if settled is not None
            )
        return self._settled[key]

    def _texts(self, situation: Situation) -> Node:
        filled = filling(self.clock, situation)
        choosable = self.choosable(situation.kind, situation.at is not None, unsaid(filled))
        return texts_of([each.expansion for each in choosable], filled)
