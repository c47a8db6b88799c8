"""YAML -> Bank, with every problem at its line and column."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeAlias

from showtime.fair import Where
from showtime.settings import Mapping, Node, Scalar, Sequence, SettingsError, parse_yaml
from showtime.wording.bank import Bank, Template
from showtime.wording.clock import Clock, clock
from showtime.wording.draft import Draft, Source, meant
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.expansion import ExpansionError, read_expansion
from showtime.wording.filling import BUILT_IN
from showtime.wording.grammar import references
from showtime.wording.proving import prove
from showtime.wording.situation import Kind
from showtime.wording.spelling import spellings

_KEYS = ("language", "clock", "pronounce", "rules", "situations")
_RULE_NAME = re.compile(r"[^\W\d][\w.-]*")


Otherwise: TypeAlias = Callable[[str], Bank | None]
"""The bank that speaks where another one of that language has nothing to say, if there is one."""


def parse_bank(text: str, file: str, otherwise: Otherwise = lambda language: None) -> Bank:
    """The phrase bank written in `text`; `file` is the name that problems carry.

    Raises SettingsError with all problems together.
    """
    reader = _Reader(text)
    told_by = reader.read(parse_yaml(text, file))
    missing = reader.missing
    beneath = otherwise(told_by.language) if missing and told_by is not None else None
    if beneath is None:
        for where, kind in missing:
            reader.draft.wrong(where, f"there is nothing to say in the situation '{kind}'")
    draft = reader.draft
    told = prove(draft, told_by)
    if draft.problems or told_by is None:
        raise SettingsError(sorted(draft.problems, key=lambda problem: problem.where))
    return Bank(
        told_by.language,
        told_by,
        {name: rule.expansion for name, rule in draft.rules.items() if rule.expansion is not None},
        {
            kind: tuple(
                Template(number, source.expansion, source.weight, told[id(source)], source.where)
                for number, source in enumerate(sources, start=1)
                if source.expansion is not None
            )
            for kind, sources in draft.templates.items()
        },
        tuple(draft.warnings),
        reader.pronounced,
        (*draft.rules.values(), *(source for _, source in draft.every_template)),
        draft.named_at,
        beneath,
    )


class _Reader:
    """Reads the bank's keys into a draft; what is no expansion stays in it as such."""

    def __init__(self, file_text: str) -> None:
        self._file_text = file_text
        self.draft = Draft()
        self.pronounced: dict[str, str] = {}
        self.missing: list[tuple[Where, Kind]] = []

    def read(self, tree: Node) -> Clock | None:
        """Fills the draft; the clock is None when the bank's language has none."""
        top = self._mapping(tree, "a phrase bank has keys: " + ", ".join(_KEYS))
        found: dict[str, Node] = {}
        for key, value in top:
            if key.text in _KEYS:
                found[key.text] = value
            else:
                self.draft.wrong(
                    key.where, f"a phrase bank has no key '{key.text}'; {meant(key.text, _KEYS)}"
                )
        if "rules" in found:
            self._rules(found["rules"])
        self._situations(found.get("situations"), tree.where)
        told_by = self._clock(found.get("language"), found.get("clock"), tree.where)
        if "pronounce" in found:
            pairs = self._mapping(
                found["pronounce"], "write here word: how it is to be spelt to be said"
            )
            self.pronounced = spellings(pairs, told_by, self.draft)
        return told_by

    def _mapping(self, node: Node, otherwise: str) -> list[tuple[Scalar, Node]]:
        if isinstance(node, Mapping):
            return [(pair.key, pair.value) for pair in node.pairs]
        self.draft.wrong(node.where, otherwise)
        return []

    def _clock(self, language: Node | None, manner: Node | None, top: Where) -> Clock | None:
        if not isinstance(language, Scalar):
            self.draft.wrong(
                language.where if language else top,
                "the bank does not say its language; write for example: language: en",
            )
            return None
        try:
            known = clock(language.text)
        except UnknownLanguageError as unknown:
            self.draft.wrong(language.where, str(unknown))
            return None
        manners = self._manners(manner, known.manners)
        return clock(language.text, manners) if manners else known

    def _manners(self, node: Node | None, known: tuple[str, ...]) -> tuple[str, ...]:
        if node is None:
            return ()
        items = node.items if isinstance(node, Sequence) else (node,)
        for item in items:
            text = item.text if isinstance(item, Scalar) else ""
            if text not in known:
                self.draft.wrong(
                    item.where,
                    f"there is no such manner of telling the time; {meant(text, known)}",
                )
        named = [item.text for item in items if isinstance(item, Scalar)]
        return tuple(name for name in named if name in known)

    def _rules(self, node: Node) -> None:
        for key, value in self._mapping(node, "rules have names: write name: what it says"):
            if key.text in BUILT_IN or key.text in ("NULL", "VOID"):
                self.draft.wrong(
                    key.where, f"<{key.text}> is built in; give this rule another name"
                )
            elif not _RULE_NAME.fullmatch(key.text):
                self.draft.wrong(
                    key.where, "a rule's name has letters, digits, '-', '_' and '.' only"
                )
            else:
                self.draft.named_at[key.text] = key.where
                source = self._source(value, "a rule")
                if source is not None:
                    self.draft.rules[key.text] = source

    def _situations(self, node: Node | None, top: Where) -> None:
        kinds = [str(kind) for kind in Kind]
        if node is None:
            self.draft.wrong(top, "the bank has no 'situations'; it needs " + ", ".join(kinds))
            return
        for key, value in self._mapping(node, "situations are " + ", ".join(kinds)):
            if key.text not in kinds:
                self.draft.wrong(
                    key.where,
                    f"there is no situation '{key.text}'; {meant(key.text, kinds)}",
                )
                continue
            self.draft.listed_at[Kind(key.text)] = key.where
            self.draft.templates[Kind(key.text)] = self._templates(value)
        listed = self.draft.templates
        self.missing = [(node.where, kind) for kind in Kind if kind not in listed]

    def _templates(self, node: Node) -> list[Source]:
        if not isinstance(node, Sequence) or not node.items:
            self.draft.wrong(
                node.where, "write a list of templates here, each on a line that begins with '- '"
            )
            return []
        sources = (self._source(item, "a template") for item in node.items)
        return [source for source in sources if source is not None]

    def _source(self, node: Node, what: str) -> Source | None:
        if not isinstance(node, Scalar):
            hint = (
                "one that begins with '[' needs quotes around the whole"
                if isinstance(node, Sequence)
                else "one that holds ': ' or begins with '{' needs quotes around the whole"
            )
            self.draft.wrong(node.where, f"{what} is one text; {hint}")
            return None
        try:
            written = read_expansion(node.text)
        except ExpansionError as error:
            source = Source(node, self._file_text, None)
            self.draft.wrong(source.place(error.place), str(error))
            return source
        found = references(written.expansion)
        return Source(node, self._file_text, written.expansion, written.weight, found)
