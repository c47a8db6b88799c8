"""All the different sentences of some expansions: how many, which, and how likely each is.

An expansion's texts are kept as a minimal deterministic automaton over atoms: nodes are made
once for each set of texts that may follow, so equal texts, from whatever template, are one path,
and paths are counted in whole numbers of any size. Built from the end of a sentence to its
beginning, which is why expansions are handled together with what follows them.

When it is weighed, each step carries its chance as well, and nodes are one only where the chances
agree too: such an automaton is larger, and needed only to judge how varied a bank sounds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TypeAlias

from showtime.wording import grammar
from showtime.wording.errors import TooTangledError
from showtime.wording.grammar import Expansion, Filling, Reference
from showtime.wording.surface import Word, atoms, joined

MOST_NODES = 400_000
MOST_WEIGHED = 60_000

_SAME = 12
"""Decimals to which chances must agree to be the same."""


class Node:
    """A set of texts: the empty one when `ends`, and those that go on with each atom.

    `chances`, where weighed, are those of ending here and of each step onward; they sum to 1.
    `meets`: the chance that two texts drawn here independently are the same one.
    """

    __slots__ = ("chances", "count", "ends", "meets", "onward")

    def __init__(
        self, ends: bool, onward: tuple[tuple[str, Node], ...], chances: tuple[float, ...]
    ) -> None:
        self.ends = ends
        self.onward = onward
        self.chances = chances
        self.count: int = ends + sum(node.count for _, node in onward)
        self.meets = 0.0
        if chances:
            self.meets = chances[0] ** 2 + sum(
                chance**2 * node.meets
                for chance, (_, node) in zip(chances[1:], onward, strict=True)
            )


_Weighed: TypeAlias = tuple[float, Node]
_Drawn: TypeAlias = tuple[float, Expansion]


def texts_of(expansions: Iterable[Expansion], filled: Filling) -> Node:
    """The different texts of settled expansions. Raises TooTangledError."""
    return _Builder(filled, weighed=False).whole([(1.0, each) for each in expansions])


def weighed_texts_of(expansions: Sequence[_Drawn], filled: Filling) -> Node:
    """The same with the chance of each when it is drawn by the weights. Raises TooTangledError,
    also where `texts_of` does not: templates that say the same may differ in every chance."""
    return _Builder(filled, weighed=True).whole(expansions)


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
    def __init__(self, filled: Filling, *, weighed: bool) -> None:
        self._filled = filled
        self._weighed = weighed
        self._most = MOST_WEIGHED if weighed else MOST_NODES
        self._nodes: dict[tuple[object, ...], Node] = {}
        self._unions: dict[frozenset[object], Node] = {}
        self._before: dict[tuple[int, int, int], _After] = {}
        self._nothing = Node(False, (), ())
        self._end = self._node(1.0, [])

    def whole(self, expansions: Sequence[_Drawn]) -> Node:
        ends = (self._end, self._end)
        root = self._union(
            [(weight, self._before_of(each, ends)[1]) for weight, each in expansions]
        )
        stripped: dict[str, list[_Weighed]] = {}
        for atom, chance, node in _steps(root):
            stripped.setdefault(atom.lstrip(), []).append((chance, node))
        return self._gathered(_ending(root), stripped)

    def _node(self, ends: float, onward: list[tuple[str, float, Node]]) -> Node:
        steps = sorted(step for step in onward if step[2].count)
        if not steps and not ends:
            return self._nothing
        key: tuple[object, ...] = (ends > 0, *((atom, id(node)) for atom, _, node in steps))
        chances: tuple[float, ...] = ()
        if self._weighed:
            total = ends + sum(chance for _, chance, _ in steps)
            chances = (ends / total, *(chance / total for _, chance, _ in steps))
            key = (*key, *(round(chance, _SAME) for chance in chances))
        if key not in self._nodes:
            if len(self._nodes) >= self._most:
                raise TooTangledError(
                    "these templates say the same things in too many ways to be counted; "
                    "give long alternatives different beginnings"
                )
            edges = tuple((atom, node) for atom, _, node in steps)
            self._nodes[key] = Node(ends > 0, edges, chances)
        return self._nodes[key]

    def _union(self, nodes: list[_Weighed]) -> Node:
        different: dict[int, _Weighed] = {}
        for weight, node in nodes:
            if node.count:
                different[id(node)] = (weight + different.get(id(node), (0.0, node))[0], node)
        if len(different) < 2:
            return next((node for _, node in different.values()), self._nothing)
        key = self._key(different)
        if key not in self._unions:
            gathered: dict[str, list[_Weighed]] = {}
            total = sum(weight for weight, _ in different.values())
            ends = 0.0
            for weight, node in different.values():
                ends += _ending(node) * weight / total
                for atom, chance, following in _steps(node):
                    gathered.setdefault(atom, []).append((chance * weight / total, following))
            self._unions[key] = self._gathered(ends, gathered)
        return self._unions[key]

    def _key(self, different: dict[int, _Weighed]) -> frozenset[object]:
        if not self._weighed:
            return frozenset(different)
        total = sum(weight for weight, _ in different.values())
        return frozenset(
            (place, round(weight / total, _SAME)) for place, (weight, _) in different.items()
        )

    def _gathered(self, ends: float, onward: dict[str, list[_Weighed]]) -> Node:
        return self._node(
            ends,
            [
                (atom, sum(chance for chance, _ in nodes), self._union(nodes))
                for atom, nodes in onward.items()
            ],
        )

    def _before_of(self, expansion: Expansion, after: _After) -> _After:
        key = (id(expansion), id(after[0]), id(after[1]))
        if key not in self._before:
            self._before[key] = self._built(expansion, after)
        return self._before[key]

    def _built(self, expansion: Expansion, after: _After) -> _After:
        if isinstance(expansion, Word):
            return self._word(expansion, after)
        if isinstance(expansion, grammar.Sequence):
            for part in reversed(expansion.parts):
                after = self._before_of(part, after)
            return after
        return self._either(self._factored(self._options(expansion), after))

    def _options(self, expansion: Reference | grammar.Alternatives) -> Iterable[_Drawn]:
        if isinstance(expansion, Reference):
            return [(1.0, word) for word in self._filled[expansion.name]]
        weights = (high - low for low, high in pairwise((0.0, *expansion.bounds)))
        return zip(weights, expansion.options, strict=True)

    def _factored(self, options: Iterable[_Drawn], after: _After) -> Iterator[tuple[float, _After]]:
        """The options with what follows each; those that begin with one rule are one option.

        Without it, rules that refer to the next rule twice would double the work at each step.
        """
        following: dict[int, tuple[Expansion, list[tuple[float, _After]]]] = {}
        for weight, option in options:
            first, rest = option, after
            if isinstance(option, grammar.Sequence) and option.parts:
                first = option.parts[0]
                for part in reversed(option.parts[1:]):
                    rest = self._before_of(part, rest)
            following.setdefault(id(first), (first, []))[1].append((weight, rest))
        for first, rests in following.values():
            total = sum(weight for weight, _ in rests)
            yield total, self._before_of(first, self._either(rests))

    def _either(self, each: Iterable[tuple[float, _After]]) -> _After:
        several = list(each)
        return (
            self._union([(weight, plain) for weight, (plain, _) in several]),
            self._union([(weight, due) for weight, (_, due) in several]),
        )

    def _word(self, said: Word, after: _After) -> _After:
        follows = after[1] if said.ends else after[0]
        follows_due = after[1] if said.ends or said.passes else after[0]
        return self._row(said.plain, follows), self._row(said.capital, follows_due)

    def _row(self, text: str, node: Node) -> Node:
        for atom in reversed(atoms(text)):
            node = self._node(0.0, [(atom, 1.0, node)])
        return node


def _ending(node: Node) -> float:
    return node.chances[0] if node.chances else float(node.ends)


def _steps(node: Node) -> Iterator[tuple[str, float, Node]]:
    chances = node.chances[1:] or (1.0,) * len(node.onward)
    return (
        (atom, chance, following)
        for (atom, following), chance in zip(node.onward, chances, strict=True)
    )
