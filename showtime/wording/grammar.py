"""The expansions that templates are written in, as values.

They are those of the JSpeech Grammar Format (W3C Note, 5 June 2000): tokens, sequences,
alternatives with weights, options, rule references, and the rules <NULL> and <VOID>.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import accumulate
from typing import TypeAlias

from showtime.wording.surface import Word


@dataclass(frozen=True, slots=True, eq=False)
class Reference:
    """`<name>`: a rule of the bank, or a built-in one; `place` is its offset in the text."""

    name: str
    place: int


@dataclass(frozen=True, slots=True, eq=False)
class Sequence:
    """All parts, one after the other; without any it is <NULL>, which says nothing."""

    parts: tuple[Expansion, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Alternatives:
    """One of the options; without any it is <VOID>, which can never be said.

    `bounds` are the weights summed up to each option: a draw below bounds[i] takes option i.
    """

    options: tuple[Expansion, ...]
    bounds: tuple[float, ...]


Expansion: TypeAlias = Word | Reference | Sequence | Alternatives
Filling: TypeAlias = Mapping[str, tuple[Word, ...]]
"""What each built-in rule may say in one situation; an empty tuple makes it <VOID>."""

NULL = Sequence(())
VOID = Alternatives((), ())


def sequence(parts: list[Expansion]) -> Expansion:
    return parts[0] if len(parts) == 1 else Sequence(tuple(parts))


def alternatives(options: list[Expansion], weights: list[float]) -> Expansion:
    if len(options) == 1:
        return options[0]
    return Alternatives(tuple(options), tuple(accumulate(weights)))


def references(expansion: Expansion) -> tuple[Reference, ...]:
    """Every reference in the expansion, in the order in which they are written."""
    found = list[Reference]()
    _gather(expansion, found)
    return tuple(found)


def _gather(expansion: Expansion, found: list[Reference]) -> None:
    if isinstance(expansion, Reference):
        found.append(expansion)
    elif not isinstance(expansion, Word):
        inner = expansion.parts if isinstance(expansion, Sequence) else expansion.options
        for each in inner:
            _gather(each, found)


def depth(expansion: Expansion) -> int:
    """How many sequences and alternatives lie within each other, rules not followed."""
    if isinstance(expansion, Sequence):
        return 1 + max(map(depth, expansion.parts), default=0)
    if isinstance(expansion, Alternatives):
        return 1 + max(map(depth, expansion.options), default=0)
    return 0


class Settling:
    """Puts the bank's rules in the place of their references and drops what cannot be said.

    `void` names the built-in rules that have nothing to say and `silent` those that may be passed
    in silence; the others stay as references. A rule is settled once and shared, so the result is
    no larger than the bank.
    """

    def __init__(
        self, rules: Mapping[str, Expansion], void: frozenset[str], silent: frozenset[str]
    ) -> None:
        self._rules = rules
        self._void = void
        self._silent = silent
        self._settled: dict[str, Expansion | None] = {}

    def settle(self, expansion: Expansion) -> Expansion | None:
        """The expansion without its impossible alternatives; None when nothing is left of it."""
        if isinstance(expansion, Word):
            return expansion
        if isinstance(expansion, Reference):
            return self._reference(expansion)
        if isinstance(expansion, Sequence):
            return self._sequence(expansion)
        return self._alternatives(expansion)

    def _reference(self, reference: Reference) -> Expansion | None:
        name = reference.name
        if name in self._rules:
            if name not in self._settled:
                self._settled[name] = self.settle(self._rules[name])
            return self._settled[name]
        if name in self._void:
            return None
        return NULL if name in self._silent else reference

    def _sequence(self, expansion: Sequence) -> Expansion | None:
        parts = [self.settle(part) for part in expansion.parts]
        left = [part for part in parts if part is not None]
        return sequence(left) if len(left) == len(parts) else None

    def _alternatives(self, expansion: Alternatives) -> Expansion | None:
        kept, weights, below = list[Expansion](), list[float](), 0.0
        for option, bound in zip(expansion.options, expansion.bounds, strict=True):
            settled = self.settle(option)
            if settled is not None:
                kept.append(settled)
                weights.append(bound - below)
            below = bound
        return alternatives(kept, weights) if kept else None
