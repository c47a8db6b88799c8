"""What the figure says in Italian: rightly written, and fit for any name and any time."""

import re
from collections.abc import Callable, Iterator
from random import Random

import pytest

from showtime.settings import shipped
from showtime.wording import Bank, Kind, Mood, Situation, choose, parse_bank

Situations = Callable[..., Situation]

TELLING = (
    Kind.NEXT,
    Kind.SOON,
    Kind.CALL,
    Kind.PLAYING,
    Kind.CHANGED,
    Kind.TOMORROW,
    Kind.NOT_OPEN,
)
SILENT = (Kind.PLAYING, Kind.LATE, Kind.NONE_LEFT, Kind.NOT_OPEN, Kind.CALLED_OFF, Kind.CLOCK_UNSET)
AHEAD = {Kind.SOON: 2.5, Kind.CALL: 15, Kind.TOMORROW: 17 * 60}


@pytest.fixture(scope="module")
def text() -> str:
    return shipped("phrasebanks/it.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def italian(text: str) -> Bank:
    return parse_bank(text, "it.yaml")


def said(bank: Bank, asked: Situations, full: bool) -> Iterator[str]:
    """Sentences of every situation, in every mood."""
    moods = frozenset(Mood)
    for kind in SILENT:
        for _, text in bank.samples(asked(kind, moods=moods), 300 if full else 40):
            yield text
    for kind in TELLING:
        for time in ("00:00", "01:00", "10:15", "12:30", "13:00", "14:45", "21:01"):
            situation = asked(kind, time, minutes_before=AHEAD.get(kind, 18), moods=moods)
            for _, text in bank.samples(situation, 100 if full else 6):
                yield text


@pytest.fixture(scope="module")
def sentences(italian: Bank, asked: Situations, full: bool) -> list[str]:
    return list(said(italian, asked, full))


def test_vowels_and_articles_meet_as_italian_wants_it(sentences: list[str]) -> None:
    for text in sentences:
        assert not re.search(r"\b(e [eè]\w*|a a\w+|nessuno [a-rt-y]\w+)\b", text, re.I), text
        assert not re.search(r"\b(il|lo|la|di|nessuno|uno) (?=(esib|automa|orolog|altr)\w+)", text)
        assert not re.search(r"\b(a|di|da|in|su) (il|lo|la|le|gli|l')\b", text), text
        assert not re.search(r"\btra tr|\b(un po|perche|piu|e')(?!\w|')", text), text


def test_it_speaks_to_all_and_never_of_its_own_sex(sentences: list[str]) -> None:
    for text in sentences:
        assert not re.search(r"\b(tu|te|tuo|tua|vieni|torna (?!in))\b", text, re.IGNORECASE), text
        assert not re.search(r"\b(sono|sarò) (pront|sicur|spiacent|content|desolat|fermo)", text)


def test_no_verb_disagrees_with_the_minutes_to_go(italian: Bank, asked: Situations) -> None:
    for seconds in (20, 60, 120, 900):
        situation = asked(Kind.SOON, "14:30", minutes_before=seconds / 60)
        for _, text in italian.samples(situation, 60):
            assert not re.search(r"\b(manc|rest|servono)\w* (meno|un|due|quindici)\b", text), text


def test_a_changed_time_comes_with_an_apology(italian: Bank, asked: Situations) -> None:
    sorry = re.compile(r"scus|perdon|dispiace", re.IGNORECASE)
    for situation in (asked(Kind.CHANGED, "14:30"), asked(Kind.CALLED_OFF)):
        for text in italian.sentences(situation, 1000):
            assert sorry.search(text), text


def test_a_hundred_answers_in_a_row_are_all_different(italian: Bank, asked: Situations) -> None:
    heard_so_far: list[str] = []
    random = Random(4)
    for _ in range(100):
        heard_so_far.append(choose(italian, asked(Kind.NEXT, "14:30"), heard_so_far, random).text)
    assert len(set(heard_so_far)) == 100


@pytest.mark.parametrize(
    ("manner", "there", "not_there"),
    [
        ("corrente", "alle due e mezza", "quattordici"),
        ("ufficiale", "alle quattordici e trenta", "le due"),
        ("regionale", "alle due e mezzo", "e mezza"),
    ],
)
def test_a_bank_may_keep_to_one_manner(
    text: str, asked: Situations, manner: str, there: str, not_there: str
) -> None:
    bank = parse_bank(text.replace("[corrente, ufficiale]", manner), "it.yaml")
    texts = " ".join(bank.sentences(asked(Kind.NEXT, "14:30"), 2000))
    assert there in texts
    assert not_there not in texts
