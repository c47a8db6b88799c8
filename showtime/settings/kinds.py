"""The kinds of plain values: how each is read from a node, and how it looks to an editor."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Generic, Protocol, TypeVar

from showtime.settings.problem import Problems
from showtime.settings.tree import Node, Scalar, Sequence

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)
E = TypeVar("E", bound=StrEnum)
Schema = dict[str, Any]


class Kind(Protocol[T_co]):
    """What a value may be."""

    @property
    def example(self) -> str:
        """A value as a person would type it."""

    def read(self, node: Node, problems: Problems) -> T_co | None:
        """The value; None when it is wrong, which has then been added to `problems`."""

    def schema(self) -> Schema:
        """What an editor should accept: at least all that `read` does."""


def scalar(node: Node, expected: str, problems: Problems) -> Scalar | None:
    """The node when it is one value that is not empty."""
    if not isinstance(node, Scalar):
        shape = "a list" if isinstance(node, Sequence) else "a group of keys"
        problems.add(node.where, f"this is {shape}, where one value belongs; write {expected}")
        return None
    if not node.text.strip() or (node.value is None and not node.quoted):
        problems.add(node.where, f"no value is given here; write {expected}")
        return None
    return node


def likeliest(word: str, known: list[str]) -> str:
    """The known word that is most like this one; empty when none is like it."""
    from difflib import get_close_matches

    cased = {name.lower(): name for name in known}
    near = get_close_matches(word.lower()[:100], cased, n=1, cutoff=0.7)
    return cased[near[0]] if near else ""


def closest(word: str, known: list[str]) -> str:
    """The end of a message about an unknown word: the likeliest one, or all there are."""
    near = likeliest(word, known)
    if near:
        return f"did you mean '{near}'?"
    return f"what can stand here: {', '.join(known)}" if known else "leave it out"


_HIDDEN = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")


@dataclass(frozen=True)
class Text:
    """Words on one line, taken as typed: `no` and `1984` are words too."""

    example: str
    longest: int = 200

    def read(self, node: Node, problems: Problems) -> str | None:
        value = scalar(node, f"words, such as {self.example}", problems)
        if value is None:
            return None
        text = value.text.strip()
        if _HIDDEN.search(text):
            problems.add(node.where, "this has line ends or hidden characters; keep to one line")
            return None
        if len(text) > self.longest:
            problems.add(node.where, f"this is longer than {self.longest} characters; shorten it")
            return None
        return text

    def schema(self) -> Schema:
        return {"type": ["string", "number", "boolean"]}


@dataclass(frozen=True)
class Whole:
    """A whole number from `least` to `most`."""

    example: str
    least: int = 1
    most: int = 10_000

    def read(self, node: Node, problems: Problems) -> int | None:
        expected = f"a whole number from {self.least} to {self.most}, such as {self.example}"
        value = scalar(node, expected, problems)
        if value is None:
            return None
        number = value.value
        if isinstance(number, bool) or not isinstance(number, int):
            quotes = "in quotes " if value.quoted else ""
            problems.add(
                node.where, f"{quotes}'{short(value.text)}' is no whole number; write {expected}"
            )
            return None
        if not self.least <= number <= self.most:
            problems.add(node.where, f"{short(value.text)} is out of range; write {expected}")
            return None
        return number

    def schema(self) -> Schema:
        return {"type": "integer", "minimum": self.least, "maximum": self.most}


def short(text: str) -> str:
    return text if len(text) <= 30 else text[:27] + "..."


@dataclass(frozen=True)
class Factor:
    """A plain number above 0, up to `most`."""

    example: str
    most: float = 1000.0

    def read(self, node: Node, problems: Problems) -> float | None:
        expected = f"a number above 0 and up to {self.most:g}, such as {self.example}"
        value = scalar(node, expected, problems)
        if value is None:
            return None
        number = value.value
        if isinstance(number, bool) or not isinstance(number, int | float):
            quotes = "in quotes " if value.quoted else ""
            problems.add(
                node.where, f"{quotes}'{short(value.text)}' is no number; write {expected}"
            )
            return None
        if not 0 < number <= self.most:
            problems.add(node.where, f"{short(value.text)} is out of range; write {expected}")
            return None
        return float(number)

    def schema(self) -> Schema:
        return {"type": "number", "exclusiveMinimum": 0, "maximum": self.most}


@dataclass(frozen=True)
class Choice(Generic[E]):
    """One of the words of an enum."""

    of: type[E]

    @property
    def example(self) -> str:
        return next(iter(self.of)).value

    def read(self, node: Node, problems: Problems) -> E | None:
        words = [word.value for word in self.of]
        value = scalar(node, " or ".join(words), problems)
        if value is None:
            return None
        if value.text not in words:
            problems.add(
                node.where, f"'{value.text}' means nothing here; {closest(value.text, words)}"
            )
            return None
        return self.of(value.text)

    def schema(self) -> Schema:
        return {"enum": [word.value for word in self.of]}


_LANGUAGE = r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$"


@dataclass(frozen=True)
class Language:
    """The code of a language, as in the names of phrase banks; `no` is Norwegian."""

    example: str = "en"

    def read(self, node: Node, problems: Problems) -> str | None:
        value = scalar(node, f"the code of a language, such as {self.example}", problems)
        if value is None:
            return None
        if not re.search(_LANGUAGE, value.text):
            problems.add(
                node.where,
                f"'{short(value.text)}' is no language's code; write one such as {self.example}",
            )
            return None
        return value.text

    def schema(self) -> Schema:
        return {"type": "string", "pattern": _LANGUAGE}


@dataclass(frozen=True)
class ListOf(Generic[T]):
    """A list; one that is left empty has no items. Wrong items are left out.

    In a `distinct` one nothing may come twice.
    """

    item: Kind[T]
    most: int = 200
    least: int = 0
    distinct: bool = False

    @property
    def example(self) -> str:
        return f"[{self.item.example}]"

    def read(self, node: Node, problems: Problems) -> tuple[T, ...] | None:
        if isinstance(node, Scalar) and node.value is None:
            items: tuple[Node, ...] = ()
        elif isinstance(node, Sequence):
            items = node.items
        else:
            problems.add(node.where, f"a list belongs here; write {self.example}")
            return None
        if len(items) < self.least:
            problems.add(node.where, f"this list is empty; write {self.example}")
        if len(items) > self.most:
            problems.add(items[self.most].where, f"this list has more than {self.most} entries")
        found: list[T] = []
        for item in items[: self.most]:
            value = self.item.read(item, problems)
            if value is not None and self.distinct and value in found:
                problems.add(item.where, f"{value} is here twice; keep one")
            elif value is not None:
                found.append(value)
        return tuple(found)

    def schema(self) -> Schema:
        array: Schema = {"type": "array", "items": self.item.schema(), "maxItems": self.most}
        if self.least:
            array["minItems"] = self.least
        return array | {"uniqueItems": True} if self.distinct else array
