"""What is particular to what the figure says in English: it is plain, and it apologises."""

import re
from collections.abc import Callable

import pytest

from showtime.wording import Bank, Kind, Mood, Situation, parse_bank

Situations = Callable[..., Situation]


def test_sentences_are_plain_english(english: Bank, asked: Situations) -> None:
    silent = {Kind.LATE, Kind.NONE_LEFT, Kind.CALLED_OFF, Kind.CLOCK_UNSET}
    for kind in Kind:
        at = None if kind in silent else "14:10"
        for _, text in english.samples(
            asked(kind, at, minutes_before=2.5, moods=frozenset(Mood)), 100
        ):
            assert re.fullmatch(r"[A-Z][A-Za-z ,.:!?'-]*[.!?]", text), text
            assert not re.search(r"\bi\b", text), text
            assert not re.search(r"\b(?!ten|eleven|twelve)(\w+) \1\b", text), text


def test_most_sentences_are_of_eight_to_twenty_words(english: Bank, asked: Situations) -> None:
    for kind, ahead in ((Kind.NEXT, 18), (Kind.CHANGED, 18), (Kind.TOMORROW, 17 * 60)):
        situation = asked(kind, "14:30", minutes_before=ahead)
        lengths = [len(text.split()) for text in english.sentences(situation, 1000)]
        assert sum(8 <= length <= 20 for length in lengths) > 0.75 * len(lengths)


def test_a_changed_time_comes_with_an_apology(english: Bank, asked: Situations) -> None:
    sorry = re.compile(r"sorry|apolog|pardon|forgive|regret|my fault|unhappy", re.IGNORECASE)
    for situation in (asked(Kind.CHANGED, "14:30"), asked(Kind.CALLED_OFF)):
        for text in english.sentences(situation, 2000):
            assert sorry.search(text), text


@pytest.mark.parametrize("manner", ["british", "american"])
def test_a_bank_may_keep_to_one_manner(english_text: str, asked: Situations, manner: str) -> None:
    text = english_text.replace("clock: [british, american]", f"clock: {manner}")
    bank = parse_bank(text, "en.yaml")
    said = " ".join(bank.sentences(asked(Kind.NEXT, "14:10"), 3000)).lower()
    assert ("ten after two" in said) is (manner == "american")
    assert ("ten past two" in said) is (manner == "british")
