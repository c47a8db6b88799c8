"""Text -> expansion: the reader of the JSpeech Grammar Format's right-hand sides."""

from __future__ import annotations

import re
from dataclasses import dataclass

from showtime.wording.grammar import (
    NULL,
    VOID,
    Expansion,
    Reference,
    alternatives,
    sequence,
)
from showtime.wording.surface import word

_TOKEN = re.compile(
    r"""\s*(?:
    (?P<word>[^\s;=|*+<>()\[\]{}/"\\]+)
    | <(?P<rule>[^<>\s()|\[\]]+)>
    | (?P<sign>[()\[\]|])
    | "(?P<quoted>(?:[^"\\]|\\.)*)"
    | /(?P<weight>[^/\s]*)/
    | (?P<tag>\{(?:[^{}\\]|\\.)*\})
    | (?P<wrong>.)
    )""",
    re.VERBOSE | re.DOTALL,
)
_NUMBER = re.compile(r"\d+(\.\d*)?([eE][+-]?\d+)?f?|\.\d+([eE][+-]?\d+)?f?")
_CLOSING = {"(": ")", "[": "]"}

_WRONG = {
    "*": "* lets a part be said any number of times, so the sentences could not be counted; "
    "write the part as often as it may be said, each further one in [ ]",
    "+": "+ lets a part be said any number of times, so the sentences could not be counted; "
    "write the part as often as it may be said, each further one in [ ]",
    "/": 'a / opens a weight such as /3/; for the sign itself write it in quotes: "/"',
    ";": 'a template has no ; in it; for the sign itself write it in quotes: ";"',
    "=": 'a template has no = in it; for the sign itself write it in quotes: "="',
    "\\": 'a backslash stands only between quotes: "\\\\"',
    '"': "this quote is never closed",
    "<": "this < opens no rule's name; write <name>",
    ">": "this > closes no rule's name; write <name>",
    "{": "this tag is never closed with }",
    "}": "this } closes no tag",
}


DEEPEST = 20
"""Brackets within each other; a person loses count long before."""


class ExpansionError(ValueError):
    """The text is no expansion: `place` is the offset of the offending character."""

    def __init__(self, place: int, what: str) -> None:
        super().__init__(what)
        self.place = place


@dataclass(frozen=True, slots=True)
class _Token:
    sort: str
    text: str
    place: int

    @property
    def ends_a_sequence(self) -> bool:
        return self.sort == "sign" and self.text in ")]|"


@dataclass(frozen=True, slots=True)
class Written:
    """What a text says, and the weight written before it as a whole (1 without one)."""

    expansion: Expansion
    weight: float = 1.0


def read_expansion(text: str) -> Written:
    """The expansion written in `text`. Raises ExpansionError at the first thing that is wrong."""
    tokens = _scan(text)
    if not tokens:
        raise ExpansionError(0, "there is nothing to say here; <NULL> says nothing on purpose")
    return _Reader(tokens, len(text)).whole()


def _scan(text: str) -> list[_Token]:
    tokens = []
    for match in _TOKEN.finditer(text.rstrip()):
        sort = match.lastgroup or ""
        place = match.end() - len(match[0].lstrip())
        if sort == "wrong":
            raise ExpansionError(place, _WRONG[match[sort]])
        if sort == "weight" and not match[sort]:
            raise ExpansionError(place, "no comment begins here; write it behind a # of its own")
        tokens.append(_Token(sort, match[sort], place))
    return tokens


class _Reader:
    """Recursive descent: alternatives hold sequences, sequences hold single parts."""

    def __init__(self, tokens: list[_Token], length: int) -> None:
        self._tokens = tokens
        self._next = 0
        self._open = 0
        self._length = length

    def whole(self) -> Written:
        expansion, weights = self._alternatives(None)
        lone = weights[0] if len(weights) == 1 and weights[0] is not None else 1.0
        return Written(expansion, lone)

    def _peek(self) -> _Token | None:
        return self._tokens[self._next] if self._next < len(self._tokens) else None

    def _alternatives(self, opened: _Token | None) -> tuple[Expansion, list[float | None]]:
        options, weights, places = list[Expansion](), list[float | None](), list[int]()
        while True:
            token = self._peek()
            places.append(token.place if token else self._length)
            weights.append(self._weight())
            options.append(self._sequence())
            token = self._peek()
            if token is None or token.sort != "sign" or token.text != "|":
                break
            self._next += 1
        self._close(opened)
        self._all_or_none(weights, places)
        return alternatives(options, [weight or 1.0 for weight in weights]), weights

    @staticmethod
    def _all_or_none(weights: list[float | None], places: list[int]) -> None:
        if None in weights and any(weights):
            raise ExpansionError(
                places[weights.index(None)],
                "the other alternatives have weights and this one has none; give it one, "
                "for example /1/",
            )

    def _close(self, opened: _Token | None) -> None:
        token = self._peek()
        if opened is None:
            if token is not None:
                raise ExpansionError(token.place, f"this {token.text} closes nothing")
            return
        wanted = _CLOSING[opened.text]
        if token is None:
            raise ExpansionError(opened.place, f"this {opened.text} is never closed with {wanted}")
        if token.text != wanted:
            raise ExpansionError(
                token.place, f"{opened.text} was opened last, so {wanted} must come before this"
            )
        self._next += 1

    def _weight(self) -> float | None:
        token = self._peek()
        if token is None or token.sort != "weight":
            return None
        self._next += 1
        if not _NUMBER.fullmatch(token.text):
            raise ExpansionError(
                token.place,
                "a weight is a number between slashes, such as /3/ or /0.5/; "
                'for the sign itself write it in quotes: "/"',
            )
        weight = float(token.text.rstrip("f"))
        if not 0 < weight < 1e300:
            raise ExpansionError(
                token.place,
                "a weight must be more than nothing and not endless; "
                "leave out what shall never be said",
            )
        return weight

    def _sequence(self) -> Expansion:
        parts = list[Expansion]()
        while (token := self._peek()) is not None and not token.ends_a_sequence:
            self._next += 1
            if token.sort == "tag":
                self._tag_follows(parts, token)
            else:
                parts.append(self._part(token))
        if not parts:
            raise ExpansionError(
                token.place if token else self._length,
                "an alternative is empty here; use [ ] for what may be left out",
            )
        return sequence(parts)

    @staticmethod
    def _tag_follows(parts: list[Expansion], token: _Token) -> None:
        """A tag is carried by the part before it and says nothing: it is read and passed over."""
        if not parts:
            raise ExpansionError(token.place, "a tag stands behind the part that it belongs to")

    def _part(self, token: _Token) -> Expansion:
        match token.sort:
            case "word":
                return word(token.text)
            case "quoted":
                return self._quoted(token)
            case "rule":
                named: dict[str, Expansion] = {"NULL": NULL, "VOID": VOID}
                return named.get(token.text, Reference(token.text, token.place))
            case "weight":
                raise ExpansionError(
                    token.place,
                    "a weight stands at the beginning of an alternative; "
                    'for the sign itself write it in quotes: "/"',
                )
        self._open += 1
        if self._open > DEEPEST:
            raise ExpansionError(
                token.place, f"no more than {DEEPEST} brackets within each other; use a rule"
            )
        inside, _ = self._alternatives(token)
        self._open -= 1
        return inside if token.text == "(" else alternatives([inside, NULL], [1.0, 1.0])

    @staticmethod
    def _quoted(token: _Token) -> Expansion:
        text = re.sub(r"\\(.)", r"\1", token.text, flags=re.DOTALL)
        if not text.strip():
            raise ExpansionError(token.place, "there is nothing between these quotes")
        return word(text)
