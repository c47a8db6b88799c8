"""What the figure says in German: one manner if wished, courteous, and rightly written."""

import re
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from showtime.settings import shipped
from showtime.voice import EmbeddedVoice
from showtime.wording import Bank, Kind, Situation, clock, parse_bank

Situations = Callable[..., Situation]


@pytest.fixture(scope="module")
def text() -> str:
    return shipped("phrasebanks/de.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def german(text: str) -> Bank:
    return parse_bank(text, "de.yaml")


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2027, 2, day, hour, minute).astimezone()


def test_a_name_that_tells_a_time_is_not_said_beside_the_start(
    german: Bank, asked: Situations
) -> None:
    for name, said in (("Fünf vor Zwölf", False), ("Mitternachtswalzer", True)):
        sentences = list(german.sentences(asked(Kind.NEXT, "14:30", piece=name), 500))
        assert any(name in sentence for sentence in sentences) is said


def test_a_bank_may_keep_to_one_manner(text: str, asked: Situations) -> None:
    said = {}
    for way in clock("de").manners:
        bank = parse_bank(text.replace("clock: [standard, 24-hour]", f"clock: {way}"), "de.yaml")
        sentences = bank.sentences(asked(Kind.NEXT, "14:45"), 2000)
        said[way] = " ".join(sentences).lower()
    idioms = {"standard": "viertel vor drei", "regional": "dreiviertel drei", "24-hour": "vierzehn"}
    for way, idiom in idioms.items():
        assert [manner for manner in said if idiom in said[manner]] == [way]


def test_a_change_comes_with_an_apology(german: Bank, asked: Situations) -> None:
    sorry = re.compile("leid|verzeih|entschuldig|nachsicht|bedaure", re.IGNORECASE)
    for situation in (asked(Kind.CHANGED, "14:30"), asked(Kind.CALLED_OFF)):
        for sentence in german.sentences(situation, 2000):
            assert sorry.search(sentence), sentence


def test_visitors_are_addressed_with_the_same_courtesy_throughout(
    german: Bank, asked: Situations
) -> None:
    """ "Hört, hört" is a crier's set phrase."""
    for kind, start in ((Kind.NEXT, "14:30"), (Kind.CALL, "14:30"), (Kind.LATE, None)):
        for sentence in german.sentences(asked(kind, start, minutes_before=5), 1500):
            plain = sentence.replace("Hört, hört", "")
            assert not re.search(r"\b(du|dich|dir|dein\w*|ihr|euch|euer|eure\w*)\b", plain), (
                sentence
            )
            assert not re.search(r"[a-zäöü,] (sie kommen|ihnen|ihren?)\b", plain), sentence


def test_a_whole_sentence_after_a_colon_begins_with_a_capital(
    german: Bank, asked: Situations
) -> None:
    """The rule of German spelling: § 54 of the official rules (from memory)."""
    for kind in (Kind.NEXT, Kind.CLOCK_UNSET):
        start = "14:30" if kind is Kind.NEXT else None
        for sentence in german.sentences(asked(kind, start, moods=frozenset()), 3000):
            assert not re.search(r": (die|meine|ich) ", sentence), sentence


def test_nouns_keep_their_capitals_and_a_bare_hour_is_never_followed_by_one(
    german: Bank, asked: Situations
) -> None:
    now = at(14) - timedelta(minutes=18)
    for sentence in german.sentences(asked(Kind.NEXT, "14:00"), 4000):
        assert not re.search(r"\b(uhr|minuten?|vorstellung|mitternacht)\b", sentence), sentence
        assert not re.search(r"um zwei [A-ZÄÖÜ](?!hr)", sentence), sentence
        (told,) = german.clock.told(sentence)
        assert told.means(at(14), now), sentence


def test_the_voice_that_comes_with_the_program_speaks_it() -> None:
    clip = EmbeddedVoice().render("Die nächste Vorstellung beginnt um halb drei.", "de")
    assert 1.0 < clip.seconds < 6.0
