"""Which sentences a pack holds: several for each answer, as many as fit, from few clips."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from math import fsum
from random import Random

from showtime.figure.pack_pieces import Piece, Pieces, Token, pieces_in, words_of
from showtime.figure.pack_windows import PackError, Window
from showtime.wording import Bank, Kind, Situation, choose

LEAST_OF_NEXT = 12
"""So many different sentences has `next` of each start, unless fewer are asked for."""

USUAL_OF_NEXT = 24
BYTES_A_ROW = 40
"""About what a sentence takes in its table."""

_DRAWN = 2
"""For each sentence that is wanted, so many are drawn to choose from."""

_SPARE = 12
_AGAIN_S = 0.4
"""What it counts to take a template once more, to a second of sound: squared, the oftener."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence, by the template it came from, as its row of clips."""

    template: int
    row: tuple[Token, ...]


@dataclass
class Answers:
    """The sentences of one window in one language; `spare` are others that were drawn."""

    window: Window
    wanted: int
    least: int
    spare: list[Sentence]
    chosen: list[Sentence] = field(default_factory=list)

    @property
    def full(self) -> bool:
        return len(self.chosen) >= self.wanted or not self.spare


def wanted_of(kind: Kind, answers: int) -> int:
    """So many sentences of a situation, where `next` of each start has `answers`."""
    once = (Kind.NEXT, Kind.LATE, Kind.TOMORROW, Kind.NONE_LEFT, Kind.CLOCK_UNSET, Kind.NOT_CAUGHT)
    return answers if kind in once else max(answers // 2, 1)


def drawn(
    window: Window, bank: Bank, voices: Sequence[Pieces], answers: int, luck: Random
) -> Answers:
    """Different sentences for the window, to choose from; `voices` in the order of preference."""
    wanted = wanted_of(window.kind, answers)
    least = min(wanted, wanted_of(window.kind, LEAST_OF_NEXT))
    said: list[str] = []
    spare: dict[str, Sentence] = {}
    for _ in range(_DRAWN * wanted + _SPARE):
        sentence = choose(bank, window.situation, said, luck)
        if sentence.text in said:
            break  # all was said
        said.append(sentence.text)
        row = next(filter(None, (voice.row(sentence.text) for voice in voices)), None)
        if row is not None and tells(bank, words_of(row), window):
            spare.setdefault(words_of(row).casefold(), Sentence(sentence.template, row))
    if not spare:
        raise PackError(
            f"the {bank.language} bank has no sentence for '{window.kind}' that a listener "
            "understands; showtime phrases shows what it says"
        )
    usable = _of_the_first_voice(list(spare.values()), voices, least)
    return Answers(window, wanted, min(least, len(usable)), usable)


def _of_the_first_voice(
    every: list[Sentence], voices: Sequence[Pieces], least: int
) -> list[Sentence]:
    """Those in the maker's own voice alone, if they are enough."""
    own = [each for each in every if all(p.recorded for p in pieces_in(each.row))]
    return own if len(voices) > 1 and len(own) >= least else every


def tells(bank: Bank, words: str, window: Window) -> bool:
    """True when a listener hears the start and nothing else, at both ends of the window."""
    return heard_as(bank, words, window.situation) and heard_as(bank, words, window.last)


def heard_as(bank: Bank, words: str, situation: Situation) -> bool:
    told = bank.clock.told(words)
    if situation.at is None:
        return not told
    zone = situation.signboard.timezone
    at, now = situation.at.astimezone(zone), situation.now.astimezone(zone)
    return len(told) == 1 and told[0].means(at, now)


class Choosing:
    """Fills answers round by round, each time with the sentence that needs the least new sound.

    `size` is the bytes that a piece takes, known once it has been spoken; `taken` are the pieces
    that are in the pack.
    """

    def __init__(self, size: Callable[[Piece], int], taken: Iterable[Piece]) -> None:
        self._size = size
        self._taken = set[Piece]()
        self.bytes = 0
        self._add(taken)

    def least(self, every: Sequence[Answers]) -> None:
        """What must be there, whatever it takes."""
        while short := [each for each in every if len(each.chosen) < each.least]:
            for answers in short:
                self._take(answers, float("inf"))

    def more(self, every: Sequence[Answers], limit: float) -> None:
        """As many more as are wanted, while all of it stays within `limit` bytes."""
        growing = [each for each in every if not each.full]
        while growing:
            growing = [each for each in growing if self._take(each, limit) and not each.full]

    def _take(self, answers: Answers, limit: float) -> bool:
        best = min(answers.spare, key=lambda each: self._cost(answers, each))
        # In order: a synthesiser says a thing otherwise after another one.
        new = sorted(self._new(best))
        if self.bytes + sum(map(self._size, new)) + BYTES_A_ROW > limit:
            return False
        self._add(new)
        self.bytes += BYTES_A_ROW
        answers.spare.remove(best)
        answers.chosen.append(best)
        return True

    def _add(self, pieces: Iterable[Piece]) -> None:
        for piece in pieces:
            self._taken.add(piece)
            self.bytes += self._size(piece)

    def _new(self, sentence: Sentence) -> frozenset[Piece]:
        return pieces_in(sentence.row) - self._taken

    def _cost(self, answers: Answers, sentence: Sentence) -> float:
        again = sum(each.template == sentence.template for each in answers.chosen)
        return fsum(piece.seconds for piece in self._new(sentence)) + _AGAIN_S * again * again
