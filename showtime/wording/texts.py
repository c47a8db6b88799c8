"""All the different sentences of some expansions: how many, and which.

An expansion's texts are kept as a minimal deterministic automaton over atoms: nodes are made
once for each set of texts that may follow, so equal texts, from whatever template, are one path,
and paths are counted in whole numbers of any size. Built from the end of a sentence to its
beginning, which is why expansions are handled together with what follows them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from showtime.wording.errors import TooTangledError
from showtime.wording.grammar import Expansion, Filling, Reference, Sequence
from showtime.wording.surface import Word, atoms, joined

MOST_NODES = 400_000


class Node:
    """A set of texts: the empty one when `ends`, and those that go on with each atom."""

    __slots__ = ("count", "ends", "onward")

    def __init__(self, ends: bool, onward: tuple[tuple[str, Node], ...]) -> None:
        self.ends = ends
        self.onward = onward
        self.count: int = ends + sum(node.count for _, node in onward)


def texts_of(expansions: Iterable[Expansion], filled: Filling) -> Node:
    """The different texts of settled expansions. Raises TooTangledError."""
    return _Builder(filled).whole(expansions)


def text_at(node: Node, place: int) -> str:
    """The text at that place, from 0, in the order of the automaton."""
    said = list[str]()
    while True:
        if node.ends:
            if place == 0:
                return joined(said)
            place -= 1
        for atom, following in node.onward:
            if place < following.count:
                said.append(atom)
                node = following
                break
            place -= following.count
        else:
            raise IndexError("there are not so many texts")


def evenly(node: Node, limit: int) -> Iterator[str]:
    """`limit` different texts spread evenly over all of them; all when there are no more."""
    number = min(limit, node.count)
    return (text_at(node, place * node.count // number) for place in range(number))


_After = tuple[Node, Node]
"""What follows when no capital is due, and when one is."""


class _Builder:
    def __init__(self, filled: Filling) -> None:
        self._filled = filled
        self._nodes: dict[tuple[object, ...], Node] = {}
        self._unions: dict[frozenset[int], Node] = {}
        self._before: dict[tuple[int, int, int], _After] = {}
        self._nothing = self._node(False, {})
        self._end = self._node(True, {})

    def whole(self, expansions: Iterable[Expansion]) -> Node:
        ends = (self._end, self._end)
        root = self._union([self._before_of(each, ends)[1] for each in expansions])
        stripped: dict[str, list[Node]] = {}
        for atom, node in root.onward:
            stripped.setdefault(atom.lstrip(), []).append(node)
        return self._node(root.ends, {atom: self._union(nodes) for atom, nodes in stripped.items()})

    def _node(self, ends: bool, onward: dict[str, Node]) -> Node:
        edges = tuple(sorted((atom, node) for atom, node in onward.items() if node.count))
        key = (ends, *((atom, id(node)) for atom, node in edges))
        if key not in self._nodes:
            if len(self._nodes) >= MOST_NODES:
                raise TooTangledError(
                    "these templates say the same things in too many ways to be counted; "
                    "give long alternatives different beginnings"
                )
            self._nodes[key] = Node(ends, edges)
        return self._nodes[key]

    def _union(self, nodes: list[Node]) -> Node:
        different = {id(node): node for node in nodes if node.count}
        if len(different) < 2:
            return next(iter(different.values()), self._nothing)
        key = frozenset(different)
        if key not in self._unions:
            gathered: dict[str, list[Node]] = {}
            for node in different.values():
                for atom, following in node.onward:
                    gathered.setdefault(atom, []).append(following)
            ends = any(node.ends for node in different.values())
            onward = {atom: self._union(following) for atom, following in gathered.items()}
            self._unions[key] = self._node(ends, onward)
        return self._unions[key]

    def _before_of(self, expansion: Expansion, after: _After) -> _After:
        key = (id(expansion), id(after[0]), id(after[1]))
        if key not in self._before:
            self._before[key] = self._built(expansion, after)
        return self._before[key]

    def _built(self, expansion: Expansion, after: _After) -> _After:
        if isinstance(expansion, Word):
            return self._word(expansion, after)
        if isinstance(expansion, Sequence):
            for part in reversed(expansion.parts):
                after = self._before_of(part, after)
            return after
        if isinstance(expansion, Reference):
            options: Iterable[Expansion] = self._filled[expansion.name]
        else:
            options = expansion.options
        return self._either([self._before_of(*each) for each in self._factored(options, after)])

    def _factored(
        self, options: Iterable[Expansion], after: _After
    ) -> Iterator[tuple[Expansion, _After]]:
        """The options with what follows each; those that begin with one rule are one option.

        Without it, rules that refer to the next rule twice would double the work at each step.
        """
        following: dict[int, tuple[Expansion, list[_After]]] = {}
        for option in options:
            first, rest = option, after
            if isinstance(option, Sequence) and option.parts:
                first = option.parts[0]
                for part in reversed(option.parts[1:]):
                    rest = self._before_of(part, rest)
            following.setdefault(id(first), (first, []))[1].append(rest)
        return ((first, self._either(rests)) for first, rests in following.values())

    def _either(self, each: list[_After]) -> _After:
        return self._union([plain for plain, _ in each]), self._union([due for _, due in each])

    def _word(self, said: Word, after: _After) -> _After:
        follows = after[1] if said.ends else after[0]
        follows_due = after[1] if said.ends or said.passes else after[0]
        return self._row(said.plain, follows), self._row(said.capital, follows_due)

    def _row(self, text: str, node: Node) -> Node:
        for atom in reversed(atoms(text)):
            node = self._node(False, {atom: node})
        return node
