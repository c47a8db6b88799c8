"""How long until something is said again: from the chances of the sentences, and by trying."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt
from random import Random
from statistics import median

from showtime.wording.bank import Bank
from showtime.wording.choice import MEMORY, choose
from showtime.wording.situation import Sentence, Situation

TRIALS = 3
MOST_DRAWN = 600
"""Draws after which a trial without memory is given up."""

ANSWERS = MEMORY + 30
"""Answers of the run with memory: those within which nothing comes again, and some more."""


def likely_after(meets: float) -> float:
    """After how many answers a repeat is as likely as not, when two independent ones are the same
    with the chance `meets`.

    The birthday problem with uneven birthdays: n answers make n (n - 1) / 2 pairs, so none of
    them meets with about exp(-meets n (n - 1) / 2), which is a half at this n. With 365 equal
    days it is 23.
    """
    return 0.5 + sqrt(0.25 + 2 * log(2) / meets)


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of trying. `without_memory`: the median number of answers up to and with the
    first repeat, None when it takes more than MOST_DRAWN; `with_memory`: that number in the run
    with memory, None when nothing came again in it; `run`: that run."""

    without_memory: float | None
    with_memory: int | None
    run: tuple[Sentence, ...]


def tried(bank: Bank, situation: Situation, random: Random) -> Tried:
    """The real choice, let loose on the bank. Raises NothingToSayError."""
    lengths = [_first_repeat(bank, situation, random) for _ in range(TRIALS)]
    met = median(length or MOST_DRAWN + 1 for length in lengths)
    run = list[Sentence]()
    said = list[str]()
    for _ in range(ANSWERS):
        run.append(choose(bank, situation, said, random))
        said.append(run[-1].text)
    return Tried(met if met <= MOST_DRAWN else None, _place_of_repeat(said), tuple(run))


def _first_repeat(bank: Bank, situation: Situation, random: Random) -> int | None:
    said = set[str]()
    for number in range(1, MOST_DRAWN + 1):
        text = choose(bank, situation, (), random).text
        if text in said:
            return number
        said.add(text)
    return None


def _place_of_repeat(said: Sequence[str]) -> int | None:
    known = set[str]()
    for number, text in enumerate(said, start=1):
        if text in known:
            return number
        known.add(text)
    return None


def distinct(texts: Sequence[str], length: int) -> float:
    """distinct-n: the different runs of `length` words over all the words said (Li, Galley,
    Brockett, Gao & Dolan, NAACL 2016, section 5.3)."""
    runs, number = set[tuple[str, ...]](), 0
    for text in texts:
        words = text.casefold().translate(_SIGNS).split()
        number += len(words)
        runs.update(zip(*(words[start:] for start in range(length)), strict=False))
    return len(runs) / number if number else 0.0


_SIGNS = str.maketrans(dict.fromkeys('.,:;!?¿¡«»“”"', " "))
