"""How varied is a bank? Each situation counted, weighed and tried."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from random import Random

from showtime.fair import Where
from showtime.settings import Problem
from showtime.wording.bank import Bank, Choosable
from showtime.wording.choice import choose
from showtime.wording.errors import TooTangledError
from showtime.wording.filling import filling, unsaid
from showtime.wording.grammar import Filling
from showtime.wording.situation import Kind, Mood, Sentence, Situation
from showtime.wording.texts import texts_of, weighed_texts_of
from showtime.wording.variety.by_ear import ByEar, pairs_alike
from showtime.wording.variety.lasting import Lasting, extremes
from showtime.wording.variety.pronouncing import Doubtful, doubtful
from showtime.wording.variety.reaching import never_reached
from showtime.wording.variety.repeating import distinct, likely_after, tried

PAIRS = 3
"""Examples of sentences that sound nearly alike."""

MOOD_ANSWERS = 40


@dataclass(frozen=True, slots=True)
class Share:
    """A template's share of the answers: by the weights, and as it was heard in the run. It cannot
    be more than its `distinct` sentences in a hundred answers, for none comes again in those."""

    template: int
    where: Where
    distinct: int
    by_weight: float
    heard: float


@dataclass(frozen=True, slots=True)
class Moody:
    """What a mood adds to a situation. `own`: the templates that are said in it alone; `reached`:
    those of them that were heard within MOOD_ANSWERS answers."""

    mood: Mood
    distinct: int
    own: tuple[int, ...]
    reached: tuple[int, ...]
    by_weight: float


@dataclass(frozen=True, slots=True)
class Varied:
    """One situation. `by_ear`: how many of its sentences differ in more than small words and close
    sounds, `alike`: examples. Answers until a repeat: `likely_after` by the chances (None: too
    tangled), `without_memory` and `with_memory` as they were tried (None: none came). Seconds are
    estimates."""

    kind: Kind
    tells: bool
    distinct: int
    by_ear: int | None
    likely_after: float | None
    without_memory: float | None
    with_memory: int | None
    distinct_runs: tuple[float, float, float]
    shares: tuple[Share, ...]
    moods: tuple[Moody, ...]
    shortest: Lasting
    longest: Lasting
    alike: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Audit:
    """A whole bank: its situations, rules that are never said, words that may be said wrong."""

    language: str
    situations: tuple[Varied, ...]
    never_reached: tuple[Problem, ...]
    doubtful: tuple[Doubtful, ...]


def audit(
    bank: Bank,
    situations: Iterable[Situation],
    names: Iterable[str],
    words_a_minute: float,
    random: Random,
) -> Audit:
    """The bank's variety in `situations`; those that it has nothing for are left out.

    `names` are the keeper's own words that it may say. Raises TooTangledError.
    """
    rows = [_varied(bank, situation, words_a_minute, random) for situation in situations]
    return Audit(
        bank.language,
        tuple(row for row in rows if row is not None),
        tuple(never_reached(bank)),
        tuple(doubtful(bank, names)),
    )


def _varied(
    bank: Bank, situation: Situation, words_a_minute: float, random: Random
) -> Varied | None:
    filled = filling(bank.clock, situation)
    sayable = _sayable(bank, situation, filled)
    if not sayable:
        return None
    whole = texts_of([each.expansion for each in sayable], filled)
    trial = tried(bank, situation, random)
    texts = [sentence.text for sentence in trial.run]
    shortest, longest = extremes(whole, bank.language, words_a_minute)
    return Varied(
        kind=situation.kind,
        tells=situation.at is not None,
        distinct=whole.count,
        by_ear=_by_ear(sayable, filled),
        likely_after=_likely_after(sayable, filled),
        without_memory=trial.without_memory,
        with_memory=trial.with_memory,
        distinct_runs=(distinct(texts, 1), distinct(texts, 2), distinct(texts, 3)),
        shares=_shares(sayable, filled, trial.run),
        moods=tuple(_moody(bank, situation, sayable, whole.count, mood, random) for mood in Mood),
        shortest=shortest,
        longest=longest,
        alike=tuple(pairs_alike(texts, PAIRS)),
    )


def _sayable(bank: Bank, situation: Situation, filled: Filling) -> tuple[Choosable, ...]:
    return bank.choosable(situation.kind, situation.at is not None, unsaid(filled))


def _by_ear(sayable: Sequence[Choosable], filled: Filling) -> int | None:
    ear = ByEar()
    try:
        left = texts_of([ear.of(each.expansion) for each in sayable], ear.filling(filled))
    except TooTangledError:
        return None
    return left.count


def _likely_after(sayable: Sequence[Choosable], filled: Filling) -> float | None:
    weighed = [(each.template.weight, each.expansion) for each in sayable]
    try:
        return likely_after(weighed_texts_of(weighed, filled).meets)
    except TooTangledError:
        return None


def _shares(
    sayable: Sequence[Choosable], filled: Filling, run: Sequence[Sentence]
) -> tuple[Share, ...]:
    heard = Counter(sentence.template for sentence in run)
    weights = sum(each.template.weight for each in sayable)
    return tuple(
        Share(
            each.template.number,
            each.template.where,
            texts_of([each.expansion], filled).count,
            each.template.weight / weights,
            heard[each.template.number] / len(run),
        )
        for each in sayable
    )


def _moody(
    bank: Bank,
    plain: Situation,
    sayable: Sequence[Choosable],
    distinct: int,
    mood: Mood,
    random: Random,
) -> Moody:
    situation = replace(plain, moods=frozenset({mood}))
    filled = filling(bank.clock, situation)
    moody = _sayable(bank, situation, filled)
    usual = {each.template.number for each in sayable}
    own = {each.template.number: each.template.weight for each in moody}
    own = {number: weight for number, weight in own.items() if number not in usual}
    if not own:
        return Moody(mood, distinct, (), (), 0.0)
    said, reached = list[str](), set[int]()
    for _ in range(MOOD_ANSWERS):
        sentence = choose(bank, situation, said, random)
        said.append(sentence.text)
        reached.add(sentence.template)
    return Moody(
        mood,
        texts_of([each.expansion for each in moody], filled).count,
        tuple(own),
        tuple(number for number in own if number in reached),
        sum(own.values()) / sum(each.template.weight for each in moody),
    )
