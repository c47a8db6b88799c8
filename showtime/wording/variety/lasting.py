"""How long a sentence takes to say, estimated from its letters and stops."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from showtime.wording.surface import atoms
from showtime.wording.texts import Node

# Fitted to 526 English sentences of the embedded voice at 120 and 160 words a minute, which they
# meet with a deviation of 5 %. In seconds at one word a minute.
_ONCE = 33.0
_A_LETTER = 11.5
_A_STOP = 66.0
_A_COMMA = 38.0
_PAUSES = dict.fromkeys(".!?", _A_STOP) | dict.fromkeys(",:;", _A_COMMA)


@dataclass(frozen=True, slots=True)
class Lasting:
    """A sentence with the seconds that it takes to say, about."""

    text: str
    seconds: float


def seconds_of(text: str, words_a_minute: float) -> float:
    """About how long the embedded voice takes to say the text at that rate."""
    return _total(sum(map(_cost, atoms(text))), words_a_minute)


def extremes(node: Node, words_a_minute: float) -> tuple[Lasting, Lasting]:
    """The shortest and the longest of all the texts, without going through them."""
    shortest, longest = (_Furthest(better).from_(node) for better in (min, max))
    return (
        Lasting(shortest[1], _total(shortest[0], words_a_minute)),
        Lasting(longest[1], _total(longest[0], words_a_minute)),
    )


def _total(cost: float, words_a_minute: float) -> float:
    return (_ONCE + cost - _A_STOP) / words_a_minute  # behind the last stop nothing waits


def _cost(atom: str) -> float:
    bare = atom.strip()
    return _PAUSES.get(bare, _A_LETTER * sum(map(str.isalnum, bare)))


class _Furthest:
    def __init__(self, better: Callable[..., tuple[float, str]]) -> None:
        self._better = better
        self._known: dict[int, tuple[float, str]] = {}

    def from_(self, node: Node) -> tuple[float, str]:
        """The cost and the text of the cheapest or dearest path from here."""
        if id(node) not in self._known:
            ways = [(0.0, "")] if node.ends else []
            for atom, following in node.onward:
                cost, text = self.from_(following)
                ways.append((cost + _cost(atom), atom + text))
            self._known[id(node)] = self._better(ways)
        return self._known[id(node)]
