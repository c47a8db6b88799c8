"""A phrase bank as it was read, before it is proven fit to speak."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from showtime.fair import Where
from showtime.settings import Problem, Scalar
from showtime.wording.grammar import Expansion, Reference
from showtime.wording.places import place_in
from showtime.wording.situation import Kind


@dataclass(frozen=True, slots=True)
class Source:
    """A rule or a template, and the text in a file that it was read from.

    `expansion` is None when that text is no expansion.
    """

    scalar: Scalar
    file_text: str
    expansion: Expansion | None
    weight: float = 1.0
    references: tuple[Reference, ...] = ()

    @property
    def where(self) -> Where:
        """Where its text begins, quotes included."""
        return self.scalar.where

    def place(self, offset: int) -> Where:
        """Where the character at that offset of the expansion stands."""
        return place_in(self.file_text, self.scalar, offset)


@dataclass
class Draft:
    """Everything that was read, and what is wrong with it so far.

    `named_at` is where a rule's name stands, `listed_at` where a situation's does.
    """

    rules: dict[str, Source] = field(default_factory=dict)
    named_at: dict[str, Where] = field(default_factory=dict)
    templates: dict[Kind, list[Source]] = field(default_factory=dict)
    listed_at: dict[Kind, Where] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    warnings: list[Problem] = field(default_factory=list)

    def wrong(self, where: Where, message: str) -> None:
        self.problems.append(Problem(where, message))

    @property
    def every_template(self) -> Iterator[tuple[Kind, Source]]:
        for kind, sources in self.templates.items():
            for source in sources:
                yield kind, source


def meant(typed: str, known: Iterable[str], shown: str = "{}") -> str:
    """What else somebody may have meant: the nearest of `known`, or all of them."""
    from difflib import get_close_matches

    names = list(known)
    near = get_close_matches(typed, names, n=1, cutoff=0.6)
    if near:
        return f"did you mean {shown.format(near[0])}?"
    return f"there is {', '.join(shown.format(name) for name in names)}"
