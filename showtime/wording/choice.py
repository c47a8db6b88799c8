"""Choosing what to say: new words, from templates and with openings that were not just used."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import accumulate
from random import Random

from showtime.wording import grammar
from showtime.wording.bank import Bank, Choosable
from showtime.wording.errors import NothingToSayError
from showtime.wording.filling import filling, local, unsaid, without_names
from showtime.wording.grammar import Expansion, Filling, Reference
from showtime.wording.recall import templates_of
from showtime.wording.situation import Sentence, Situation
from showtime.wording.surface import Word, written

MEMORY = 100
"""Answers within which no sentence comes again, where the bank allows it."""

_RESTING = 4
"""A template rests for so many answers, or for half the templates when there are few, or as long
as lets the heaviest one have its share."""

_OPENINGS = 3
"""Answers whose first two words are not used again at once."""

_TEMPLATES = 6
_DRAWS_EACH = 4


def choose(bank: Bank, situation: Situation, remembered: Sequence[str], random: Random) -> Sentence:
    """A sentence for the situation, unlike those of the last hundred answers where possible.

    `remembered` are the texts said so far, the newest last. Every sentence is read back before
    it is returned: it tells the start, once, or no time at all. When everything was said within
    the last hundred answers, it is the one said least recently. In the long run each template has
    the share of its weight, as far as that leaves room: one with n sentences is said n times in a
    hundred answers at most. Raises NothingToSayError for a situation that tells a start where the
    bank tells none, or the other way round.
    """
    filled = filling(bank.clock, situation)
    for offered in (filled, without_names(filled)):
        chosen = _Choosing(bank, situation, offered, remembered, random).chosen()
        if chosen is not None:
            template, text = chosen
            return Sentence(text, bank.language, situation, template)
    start = "that tells a start" if situation.at else "that tells none"
    raise NothingToSayError(f"the {bank.language} bank has no '{situation.kind}' {start}")


class _Choosing:
    """One choice. Candidates are drawn, most of them good at once; see `chosen` for the order."""

    def __init__(
        self,
        bank: Bank,
        situation: Situation,
        filled: Filling,
        remembered: Sequence[str],
        random: Random,
    ) -> None:
        self._bank = bank
        self._situation = situation
        self._filled = filled
        self._random = random
        self._remembered = remembered
        self._recent = frozenset(remembered[-MEMORY:])
        self._openings = frozenset(map(_opening, remembered[-_OPENINGS:]))
        self._choosable = bank.choosable(situation.kind, situation.at is not None, unsaid(filled))

    def chosen(self) -> tuple[int, str] | None:
        """By weight from rested templates with a new opening; else by weight from rested ones;
        else from any template; else whatever is new, or oldest, among all that can be said.

        Where little can be said the last is soon needed each time, so its list is kept.
        """
        if not self._choosable:
            return None
        spare = None
        for template, text in self._draws():
            if not self._is_fit(text):
                continue
            if _opening(text) not in self._openings:
                return template, text
            spare = spare or (template, text)
        if spare is None and not self._bank.has_listed(self._situation.kind, self._filled):
            spare = self._from_any()
        return spare or self._from_all()

    def _draws(self) -> Iterator[tuple[int, str]]:
        """Sentences of rested templates: a few of one that is drawn by its weight, then of another.

        Several of each, so that a template does not lose its turn to an opening that was just
        used while it has others.
        """
        resting = min(_resting(self._choosable), len(self._remembered))
        weights = _weights(self._choosable, resting)
        latest = self._remembered[-resting:] if resting else ()
        tired = frozenset[int]().union(*(templates_of(text, self._choosable) for text in latest))
        pairs = [
            (each, weight)
            for each, weight in zip(self._choosable, weights, strict=True)
            if each.template.number not in tired
        ] or list(zip(self._choosable, weights, strict=True))
        bounds = list(accumulate(weight for _, weight in pairs))
        for _ in range(_TEMPLATES):
            yield from self._draws_of(pairs[_drawn(bounds, self._random)][0])

    def _draws_of(self, each: Choosable) -> Iterator[tuple[int, str]]:
        for _ in range(_DRAWS_EACH):
            yield each.template.number, self._said(each.expansion)

    def _said(self, expansion: Expansion) -> str:
        words = list[Word]()
        _say(expansion, self._filled, self._random, words.append)
        return written(words)

    def _is_fit(self, text: str) -> bool:
        return text not in self._recent and self._reads_back(text)

    def _reads_back(self, text: str) -> bool:
        """True when a listener hears the start and nothing else."""
        told, situation = self._bank.clock.told(text), self._situation
        if situation.at is None:
            return not told
        at, now = local(situation, situation.at), local(situation, situation.now)
        return len(told) == 1 and told[0].means(at, now)

    def _from_any(self) -> tuple[int, str] | None:
        for each in self._random.sample(self._choosable, len(self._choosable)):
            for template, text in self._draws_of(each):
                if self._is_fit(text):
                    return template, text
        return None

    def _from_all(self) -> tuple[int, str] | None:
        """Draws keep meeting what was said before: little can be new, so all of it is looked at."""
        listed = self._bank.listed(
            self._situation.kind, self._choosable, self._filled, most=2 * MEMORY
        )
        new = [pair for pair in listed if pair[1] not in self._recent]
        for pair in self._random.sample(new, len(new)):
            if self._reads_back(pair[1]):
                return pair
        last = {text: place for place, text in enumerate(self._remembered)}
        old = [pair for pair in listed if pair[1] in self._recent and self._reads_back(pair[1])]
        return min(old, key=lambda pair: last[pair[1]], default=None)


@lru_cache(maxsize=64)
def _resting(choosable: tuple[Choosable, ...]) -> int:
    """For how many answers a template rests."""
    total = sum(each.template.weight for each in choosable)
    heaviest = max(each.template.weight for each in choosable)
    return min(_RESTING, len(choosable) // 2, int(total / heaviest + 1e-9) - 1)


@lru_cache(maxsize=256)
def _weights(choosable: tuple[Choosable, ...], resting: int) -> tuple[float, ...]:
    """The weights to draw by among the rested templates.

    One with the share s of all answers rests in R s of them, so in the others it must be drawn by
    s / (1 - R s) to have that share in the long run.
    """
    total = sum(each.template.weight for each in choosable)
    shares = [each.template.weight / total for each in choosable]
    return tuple(share / (1 - resting * share) for share in shares)


def _say(
    expansion: Expansion, filled: Filling, random: Random, say: Callable[[Word], None]
) -> None:
    """Says one of the expansion's texts, drawn by its weights."""
    if isinstance(expansion, Word):
        say(expansion)
    elif isinstance(expansion, grammar.Sequence):
        for part in expansion.parts:
            _say(part, filled, random, say)
    elif isinstance(expansion, Reference):
        say(random.choice(filled[expansion.name]))
    else:
        option = expansion.options[_drawn(expansion.bounds, random)]
        _say(option, filled, random, say)


def _drawn(bounds: Sequence[float], random: Random) -> int:
    """The place of the first bound above a draw from [0, last bound)."""
    return min(bisect(bounds, random.random() * bounds[-1]), len(bounds) - 1)


@lru_cache(maxsize=1024)
def _opening(text: str) -> tuple[str, ...]:
    return tuple(text.casefold().split(maxsplit=2)[:2])
