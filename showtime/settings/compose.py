"""YAML text to a located tree: anchors, aliases and merge keys resolved, bombs defused."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from showtime.fair import Where
from showtime.settings.meaning import meaning
from showtime.settings.mending import without_block
from showtime.settings.problem import Problems
from showtime.settings.syntax import ENDED_EARLY, Places, complaint, unprintable
from showtime.settings.tree import Mapping, Node, Pair, Scalar, Sequence

MOST_NODES = 200_000
DEEPEST = 40
_MOST_FAULTS = 20
_LONGEST_MENDED = 100_000  # characters; a longer text is not read again behind a fault
_QUOTING = frozenset("'\"|>")


def parse_yaml(text: str, file: str) -> Node:
    """The tree of one YAML document; `file` is the name that places in it carry.

    An empty document is a Scalar that means None. Raises SettingsError with all syntax problems
    that can be found.
    """
    problems = Problems()
    salvaged = salvage(text, file, problems)
    if problems:
        raise problems.error()
    return salvaged.tree


@dataclass(frozen=True, slots=True)
class Salvaged:
    """What could be read, and the first lines of the top-level blocks that lost something."""

    tree: Node
    lost: tuple[str, ...] = ()


def salvage(text: str, file: str, problems: Problems) -> Salvaged:
    """As `parse_yaml`, but adds what is wrong to `problems` and reads on behind it."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    nothing = Scalar("", None, Where(file, 1, 1))
    hidden = unprintable(text, file)
    for where, message in hidden:
        problems.add(where, message)
    if hidden:
        return Salvaged(nothing, ("",))
    rest, lost = text, list[str]()
    for _ in range(_MOST_FAULTS):
        composer = _Composer(rest, file, problems, whole=not lost)
        try:
            return Salvaged(composer.run(), tuple(lost))
        except _Stop as stop:
            problems.add(stop.where, stop.message)
            break
        except _Fault as fault:
            if fault.message:
                problems.add(fault.where, fault.message)
            shorter = without_block(rest, fault.where.line - 1, fault.where.column - 1)
            if len(text) > _LONGEST_MENDED or shorter is None or fault.message == ENDED_EARLY:
                break
            rest, block = shorter
            lost.append(block)
    return Salvaged(nothing, ("",))


class _Halt(Exception):
    def __init__(self, where: Where, message: str) -> None:
        super().__init__(message)
        self.where, self.message = where, message


class _Fault(_Halt):
    """This is not YAML; what lies behind it may be."""


class _Stop(_Halt):
    """Reading on makes no sense: bombs, endless nesting, a second document."""


class _Composer:
    """One pass over the parser's events. `whole`: nothing was taken out of the text before."""

    def __init__(self, text: str, file: str, problems: Problems, *, whole: bool) -> None:
        self._text = text
        self._places = Places(text, file)
        self._problems = problems
        self._whole = whole
        self._anchored: dict[str, tuple[Node | None, int]] = {}
        self._nodes = 0

    def run(self) -> Node:
        """The tree; raises _Fault at the first syntax fault, _Stop where reading must end."""
        import yaml

        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        try:
            return self._document(yaml.parse(self._text, Loader=loader))
        except yaml.YAMLError as error:
            raise _Fault(*complaint(error, self._places)) from error

    def _document(self, events: Iterator[Any]) -> Node:
        import yaml

        tree: Node | None = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise _Stop(
                        self._places.of(event.start_mark),
                        "a second document begins here; keep one document in a file",
                    )
            elif isinstance(event, yaml.NodeEvent):
                tree = self._node(event, events, 0)
        return tree if tree is not None else Scalar("", None, Where(self._places.file, 1, 1))

    def _node(self, event: Any, events: Iterator[Any], depth: int) -> Node:
        import yaml

        where = self._places.of(event.start_mark)
        self._count(1, where)
        if isinstance(event, yaml.AliasEvent):
            return self._alias(str(event.anchor), where)
        if depth > DEEPEST:
            raise _Stop(where, f"this is nested more than {DEEPEST} deep; write it flatter")
        before = self._nodes
        if event.anchor:
            self._anchored[event.anchor] = (None, 0)
        self._refuse_tag(event, where)
        node: Node
        if isinstance(event, yaml.ScalarEvent):
            node = _scalar(event, where)
        elif isinstance(event, yaml.SequenceStartEvent):
            node = self._sequence(where, events, depth)
        else:
            node = self._mapping(where, events, depth)
        if event.anchor:
            self._anchored[event.anchor] = (node, self._nodes - before + 1)
        return node

    def _count(self, more: int, where: Where) -> None:
        self._nodes += more
        if self._nodes > MOST_NODES:
            raise _Stop(
                where,
                f"this file holds more than {MOST_NODES} values, aliases counted; make it smaller",
            )

    def _alias(self, name: str, where: Where) -> Node:
        if name not in self._anchored:
            # Its anchor may have gone with what was taken out, which has been told already.
            said = f"no anchor &{name} comes before this alias; quote a text that begins with '*'"
            raise _Fault(where, said if self._whole else "")
        node, size = self._anchored[name]
        if node is None:
            raise _Stop(where, f"*{name} stands inside &{name} itself; write the values out")
        self._count(size, where)
        return node

    def _refuse_tag(self, event: Any, where: Where) -> None:
        if event.tag not in (None, "!", "tag:yaml.org,2002:str"):
            self._problems.add(where, f"the tag {event.tag[:40]} has no meaning here; leave it out")

    def _sequence(self, where: Where, events: Iterator[Any], depth: int) -> Sequence:
        import yaml

        items = []
        while not isinstance(event := next(events), yaml.SequenceEndEvent):
            items.append(self._node(event, events, depth + 1))
        return Sequence(tuple(items), where)

    def _mapping(self, where: Where, events: Iterator[Any], depth: int) -> Mapping:
        import yaml

        own: dict[str, Pair] = {}
        merged: list[Mapping] = []
        while not isinstance(event := next(events), yaml.MappingEndEvent):
            key = self._node(event, events, depth + 1)
            value = self._node(next(events), events, depth + 1)
            if not isinstance(key, Scalar):
                self._problems.add(key.where, "a key must be one word; write key: value")
            elif key.text == "<<" and not key.quoted:
                merged += self._merged(value)
            elif key.text in own:
                first = own[key.text].key.where.line
                self._problems.add(
                    key.where, f"'{key.text}' is here twice, first on line {first}; keep one"
                )
            else:
                own[key.text] = Pair(key, value)
        for source in merged:
            for pair in source.pairs:
                own.setdefault(pair.key.text, pair)
        return Mapping(tuple(own.values()), where)

    def _merged(self, value: Node) -> list[Mapping]:
        """What `<<` brings in; in a list, an earlier mapping counts before a later one."""
        sources = value.items if isinstance(value, Sequence) else (value,)
        found = []
        for source in sources:
            if isinstance(source, Mapping):
                found.append(source)
            else:
                self._problems.add(
                    source.where, "'<<' merges keys; give it an alias of a mapping, as in <<: *name"
                )
        return found


def _scalar(event: Any, where: Where) -> Scalar:
    quoted = event.style in _QUOTING or event.tag is not None
    value = event.value if quoted else meaning(event.value)
    return Scalar(event.value, value, where, quoted)
