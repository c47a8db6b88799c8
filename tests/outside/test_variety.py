"""How varied the answers are, measured by other people's yardsticks.

Sources: the birthday problem (23 people of 365 days: 50.7 %, a standard result, computed here
too); distinct-n, the share of different n-word runs, of Li, Galley, Brockett, Gao & Dolan, "A
Diversity-Promoting Objective Function for Neural Conversation Models", NAACL 2016 *(memory)*;
seconds of speech by the embedded synthesiser.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from math import prod, sqrt
from random import Random
from statistics import mean
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.voice import EmbeddedVoice
from showtime.wording import Bank, Kind, Situation, Varied, audit, choose, parse_bank
from showtime.wording.variety import seconds_of

ZONE = ZoneInfo("Europe/London")
SIGNS = Signboard("Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), ZONE)
NOW = datetime(2027, 2, 13, 14, 12, tzinfo=ZONE)
NEXT = Situation(Kind.NEXT, NOW, SIGNS, at=NOW + timedelta(minutes=18), piece="Frost Bells")
LATE = Situation(Kind.LATE, NOW, SIGNS)
DAYS = 365
PEOPLE = 23
RATE = 170


@pytest.fixture(scope="module")
def english() -> Bank:
    return parse_bank(shipped("phrasebanks/en.yaml").read_text(encoding="utf-8"), "en.yaml")


def birthday_bank() -> Bank:
    """English, but when late it says one of 365 sentences, all as likely."""
    text = shipped("phrasebanks/en.yaml").read_text(encoding="utf-8")
    before, after = text.split("  late:\n")
    days = " | ".join(f"day-{day}" for day in range(DAYS))
    rest = after[after.index("  changed:") :]
    return parse_bank(f"{before}  late:\n    - '{days}'\n{rest}", "birthday.yaml")


def audited(bank: Bank, situation: Situation) -> Varied:
    (row,) = audit(bank, [situation], (), RATE, Random(23)).situations
    return row


def share_with_a_repeat(bank: Bank, trials: int, *, remembering: bool) -> float:
    random, repeats = Random(23), 0
    for _ in range(trials):
        said: list[str] = []
        for _ in range(PEOPLE):
            said.append(choose(bank, LATE, said if remembering else [], random).text)
        repeats += len(set(said)) < PEOPLE
    return repeats / trials


def test_choice_without_memory_is_as_random_as_birthdays(full: bool) -> None:
    expected = 1 - prod((DAYS - person) / DAYS for person in range(PEOPLE))
    assert expected == pytest.approx(0.507, abs=0.0005)
    trials = 2000 if full else 300
    deviation = sqrt(expected * (1 - expected) / trials)
    share = share_with_a_repeat(birthday_bank(), trials, remembering=False)
    assert abs(share - expected) < 3 * deviation


def test_with_memory_no_two_share_a_birthday() -> None:
    assert share_with_a_repeat(birthday_bank(), 20, remembering=True) == 0


def test_the_audit_knows_the_birthday_problem() -> None:
    """With 365 days a repeat is likelier than not from 23 people on."""
    row = audited(birthday_bank(), LATE)
    assert row.distinct == DAYS
    assert row.likely_after == pytest.approx(PEOPLE, abs=0.02)
    assert row.with_memory is None or row.with_memory > 100


def distinct(texts: Iterable[str], run: int) -> float:
    """Different runs of `run` words, over all the words generated (Li et al., section 5.3)."""
    runs, words = set[tuple[str, ...]](), 0
    for text in texts:
        row = "".join(sign if sign.isalnum() or sign in "'-" else " " for sign in text.lower())
        parts = row.split()
        words += len(parts)
        runs |= {tuple(parts[start : start + run]) for start in range(len(parts) - run + 1)}
    return len(runs) / words


def test_the_yardstick_measures_what_it_should() -> None:
    assert distinct(["a b a b"], 1) == 2 / 4
    assert distinct(["a b a b"], 2) == 2 / 4
    assert distinct(["a b c d"], 2) == 3 / 4
    assert distinct(["a b", "a b"], 2) == 1 / 4


def test_a_hundred_answers_about_one_time_stay_varied(english: Bank) -> None:
    """All hundred tell the same time of the same piece, which keeps the shares low.

    Measured when this was written: 0.15 and 0.30; a figure with a single sentence has 0.01.
    """
    said: list[str] = []
    random = Random(100)
    for _ in range(100):
        said.append(choose(english, NEXT, said, random).text)
    assert len(set(said)) == 100
    assert distinct(said, 1) > 0.12
    assert distinct(said, 2) > 0.25
    assert distinct(said[:1] * 100, 1) < 0.02


def test_the_audit_measures_the_same_variety(english: Bank) -> None:
    """Of 130 answers of its own, which are a little longer than the hundred above."""
    said: list[str] = []
    random = Random(100)
    for _ in range(130):
        said.append(choose(english, NEXT, said, random).text)
    for run, share in enumerate(audited(english, NEXT).distinct_runs, start=1):
        assert share == pytest.approx(distinct(said, run), rel=0.15)


@pytest.mark.parametrize("language", ["en", "de", "nl", "fr", "es", "it", "cy"])
def test_seconds_of_speech_are_about_those_of_the_synthesiser(language: str, full: bool) -> None:
    """Each within a quarter, and a twelfth at most on the average."""
    path = shipped(f"phrasebanks/{language}.yaml")
    bank, voice = parse_bank(path.read_text("utf-8"), path.name), EmbeddedVoice()
    texts = [text for _, text in bank.samples(NEXT, 5 if full else 1)]
    texts += [text for _, text in bank.samples(LATE, 5 if full else 1)]
    ratios = [
        seconds_of(text, language, RATE) / voice.render(text, language).seconds for text in texts
    ]
    assert all(0.75 < ratio < 1.25 for ratio in ratios), sorted(ratios)
    assert abs(mean(ratios) - 1) < 1 / 12
