"""Which rules of a bank are ever said?"""

from __future__ import annotations

from collections.abc import Mapping

from showtime.settings import Problem
from showtime.wording.bank import Bank
from showtime.wording.filling import OF_A_START
from showtime.wording.grammar import Expansion, Reference, Sequence
from showtime.wording.surface import Word

_NONE = frozenset[str]()


def never_reached(bank: Bank) -> list[Problem]:
    """The rules that no template names, and those that only stand where nothing can be said."""
    named = set(bank.named_at.values())
    unused = [warning for warning in bank.warnings if warning.where in named]
    idle = {warning.where for warning in unused}
    reached = set[str]()
    for tells in (True, False):
        reach = _Reach(bank.rules, _NONE if tells else OF_A_START)
        for templates in bank.templates.values():
            for template in templates:
                if template.tells is tells:
                    reached |= reach.of(template.expansion) or _NONE
    hidden = [
        Problem(where, f"<{name}> is named, but never where it can be said")
        for name, where in bank.named_at.items()
        if name not in reached and where not in idle
    ]
    return sorted([*unused, *hidden], key=lambda problem: problem.where)


class _Reach:
    """The rules that an expansion may come upon when the built-in rules `void` cannot be said."""

    def __init__(self, rules: Mapping[str, Expansion], void: frozenset[str]) -> None:
        self._rules = rules
        self._void = void
        self._known: dict[str, frozenset[str] | None] = {}

    def of(self, expansion: Expansion) -> frozenset[str] | None:
        """None when the expansion cannot be said at all."""
        if isinstance(expansion, Word):
            return _NONE
        if isinstance(expansion, Reference):
            return self._rule(expansion.name)
        if isinstance(expansion, Sequence):
            parts = [self.of(part) for part in expansion.parts]
            return None if None in parts else _NONE.union(*filter(None, parts))
        options = [self.of(option) for option in expansion.options]
        said = [option for option in options if option is not None]
        return _NONE.union(*said) if said else None

    def _rule(self, name: str) -> frozenset[str] | None:
        if name not in self._rules:
            return None if name in self._void else _NONE
        if name not in self._known:
            inner = self.of(self._rules[name])
            self._known[name] = None if inner is None else inner | {name}
        return self._known[name]
