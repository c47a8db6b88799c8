"""What the figure says in Dutch: one manner if wished, courteous, and rightly written."""

import re
from collections.abc import Callable

import pytest

from showtime.settings import shipped
from showtime.voice import EmbeddedVoice
from showtime.wording import Bank, Kind, Situation, clock, parse_bank

Situations = Callable[..., Situation]


@pytest.fixture(scope="module")
def text() -> str:
    return shipped("phrasebanks/nl.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def dutch(text: str) -> Bank:
    return parse_bank(text, "nl.yaml")


def test_a_name_that_tells_a_time_is_not_said_beside_the_start(
    dutch: Bank, asked: Situations
) -> None:
    for name, said in (("Vijf voor Twaalf", False), ("Middernachtwals", True)):
        sentences = list(dutch.sentences(asked(Kind.NEXT, "14:30", piece=name), 500))
        assert any(name in sentence for sentence in sentences) is said


def test_a_bank_may_keep_to_one_manner(text: str, asked: Situations) -> None:
    said = {}
    for way in clock("nl").manners:
        bank = parse_bank(text.replace("clock: standard", f"clock: {way}"), "nl.yaml")
        sentences = bank.sentences(asked(Kind.NEXT, "14:15"), 2000)
        said[way] = " ".join(sentences).lower()
    idioms = {"standard": "kwart over twee", "flemish": "kwart na twee", "24-hour": "veertien uur"}
    for way, idiom in idioms.items():
        assert [manner for manner in said if idiom in said[manner]] == [way]


@pytest.mark.parametrize(
    ("template", "start", "written"),
    [
        ("<daypart> <at_time>", "14:30", "'s Middags om half drie."),
        ("<at_time> <daypart>", "14:30", "Om half drie 's middags."),
        ("ijzer rust niet, <at_time>", "14:30", "IJzer rust niet, om half drie."),
        ("<time>", "13:01", "Eén over één."),
        ("kijk! <at_time>", "13:00", "Kijk! Om één uur."),
    ],
)
def test_sentences_begin_as_dutch_is_written(
    bank_text: Callable[..., str], asked: Situations, template: str, start: str, written: str
) -> None:
    """Onze Taal's and the Taalunie's advice, from memory: "'s Middags", "IJzer", "Eén"."""
    small = bank_text({Kind.NEXT: [f"{template}.", "om <time>!"]}).replace(
        "language: en", "language: nl"
    )
    bank = parse_bank(small, "nl.yaml")
    said = list(bank.sentences(asked(Kind.NEXT, start, minutes_before=24 * 60), 20))
    assert written in said


def test_a_change_comes_with_an_apology(dutch: Bank, asked: Situations) -> None:
    sorry = re.compile("spijt|excuses|vergeef|vergeving|kwalijk", re.IGNORECASE)
    for situation in (asked(Kind.CHANGED, "14:30"), asked(Kind.CALLED_OFF)):
        for sentence in dutch.sentences(situation, 2000):
            assert sorry.search(sentence), sentence


def test_visitors_are_addressed_with_the_same_courtesy_throughout(
    dutch: Bank, asked: Situations
) -> None:
    familiar = re.compile(r"\b(je|jij|jou|jouw|jullie)\b", re.IGNORECASE)
    for kind, start in ((Kind.NEXT, "14:30"), (Kind.CALL, "14:30"), (Kind.LATE, None)):
        for sentence in dutch.sentences(asked(kind, start, minutes_before=5), 1500):
            assert not familiar.search(sentence), sentence


def test_a_time_is_never_told_after_a_word_that_makes_it_a_length_of_time(
    dutch: Bank, asked: Situations
) -> None:
    """ "over twaalf uur" is in twelve hours."""
    for sentence in dutch.sentences(asked(Kind.NEXT, "12:00"), 4000):
        assert not re.search(r"(over|binnen|nog) twaalf uur", sentence), sentence


def test_the_voice_that_comes_with_the_program_speaks_it() -> None:
    clip = EmbeddedVoice().render("De volgende voorstelling begint om half drie.", "nl")
    assert 1.0 < clip.seconds < 6.0
