"""YAML as a tree of located nodes; the names are those of the YAML specification."""

from __future__ import annotations

from dataclasses import dataclass

from showtime.fair import Where


@dataclass(frozen=True, slots=True)
class Scalar:
    """One value. `text` is what was typed, quotes undone; `value` is what it means in YAML 1.2.

    A quoted value means its text, whatever it looks like.
    """

    text: str
    value: str | int | float | bool | None
    where: Where
    quoted: bool = False


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list, in order."""

    items: tuple[Node, ...]
    where: Where


@dataclass(frozen=True, slots=True)
class Pair:
    """A key and its value."""

    key: Scalar
    value: Node


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys with values, in the order written; merged ones (`<<`) come last. No key comes twice."""

    pairs: tuple[Pair, ...]
    where: Where

    def get(self, key: str) -> Node | None:
        """The value of that key, None when it is not there."""
        return next((pair.value for pair in self.pairs if pair.key.text == key), None)


Node = Scalar | Sequence | Mapping
