"""What the figure says in French: rightly written, and fit for any name and any time."""

import re
from collections.abc import Callable, Iterator
from random import Random
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.wording import Bank, Kind, Mood, Situation, choose, parse_bank

Situations = Callable[..., Situation]
THIN = "\u202f"

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
    return shipped("phrasebanks/fr.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def french(text: str) -> Bank:
    return parse_bank(text, "fr.yaml")


def said(bank: Bank, asked: Situations, full: bool, **more: object) -> Iterator[str]:
    """Sentences of every situation, in every mood."""
    moods = frozenset(Mood)
    for kind in SILENT:
        for _, text in bank.samples(asked(kind, moods=moods, **more), 300 if full else 40):
            yield text
    for kind in TELLING:
        for time in ("00:00", "01:00", "10:15", "12:30", "13:00", "14:45", "21:01"):
            situation = asked(kind, time, minutes_before=AHEAD.get(kind, 18), moods=moods, **more)
            for _, text in bank.samples(situation, 100 if full else 6):
                yield text


@pytest.fixture(scope="module")
def sentences(french: Bank, asked: Situations, full: bool) -> list[str]:
    return list(said(french, asked, full))


def test_vowels_meet_as_french_wants_it(french: Bank, asked: Situations, full: bool) -> None:
    """Also beside names that begin with a vowel."""
    signs = Signboard("Foire", "L'Atelier", "Anatole", ("fr",), ZoneInfo("UTC"))
    unmet = re.compile(
        r"(?<![-\w])(je|me|te|se|le|la|de|ne|que|ce|jusque) (?=[aeiouyéèêàâîôœ])", re.I
    )
    for text in said(french, asked, full, signboard=signs, piece="Airs anciens", why="il pleut"):
        assert not unmet.search(text), text
        assert not re.search(r"\b(à le|à les|de le|de les|de du)\b", text), text


def test_high_signs_have_their_thin_space_and_low_ones_none(sentences: list[str]) -> None:
    for text in sentences:
        assert not re.search(r"(?<!\u202f)[!?:;]|\s[.,]|[ ~]\u202f|~", text), text
        assert not re.search(r"\u202f(?![!?:;])", text), text


def test_it_speaks_to_all_and_never_of_its_own_sex(sentences: list[str]) -> None:
    for text in sentences:
        assert not re.search(r"\b(tu|toi|ton|tes|viens|reviens)\b", text, re.IGNORECASE), text
        assert not re.search(r"\bje (suis|serai) (prêt|désolé|navré|sûr|content)", text), text


def test_no_time_can_be_taken_for_a_stretch_of_hours(french: Bank, asked: Situations) -> None:
    """ "Deux heures" alone may be how long one waits; "à" or "l'heure" before it settles that."""
    for kind in TELLING:
        situation = asked(kind, "14:30", minutes_before=AHEAD.get(kind, 18))
        for _, text in french.samples(situation, 60):
            for found in re.finditer(r"(deux|quatorze) heures (et demie|trente)", text.lower()):
                before = text.lower()[: found.start()]
                assert before.endswith("à ") or re.search(r"\bheure\b", before), text


def test_a_changed_time_comes_with_an_apology(french: Bank, asked: Situations) -> None:
    sorry = re.compile(r"excuse|pardon|regrette", re.IGNORECASE)
    for situation in (asked(Kind.CHANGED, "14:30"), asked(Kind.CALLED_OFF)):
        for text in french.sentences(situation, 1000):
            assert sorry.search(text), text


def test_a_hundred_answers_in_a_row_are_all_different(french: Bank, asked: Situations) -> None:
    heard_so_far: list[str] = []
    random = Random(4)
    for _ in range(100):
        heard_so_far.append(choose(french, asked(Kind.NEXT, "14:30"), heard_so_far, random).text)
    assert len(set(heard_so_far)) == 100


@pytest.mark.parametrize(
    ("manner", "there", "not_there"),
    [
        ("courant", "deux heures et demie", "quatorze heures"),
        ("officiel", "quatorze heures trente", "deux heures"),
    ],
)
def test_a_bank_may_keep_to_one_manner(
    text: str, asked: Situations, manner: str, there: str, not_there: str
) -> None:
    bank = parse_bank(text.replace("[courant, officiel]", manner), "fr.yaml")
    texts = " ".join(bank.sentences(asked(Kind.NEXT, "14:30"), 2000))
    assert there in texts
    assert not_there not in texts


def test_a_tilde_in_a_bank_is_the_thin_space_and_stays_in_a_name(
    bank_text: Callable[..., str], asked: Situations
) -> None:
    bank = parse_bank(bank_text({Kind.NEXT: ["<figure>~! at <time> ~?", "<time>"]}), "small.yaml")
    signs = Signboard("Fair", "Stall", "Le~o", ("en",), ZoneInfo("Europe/London"))
    situation = asked(Kind.NEXT, "14:00", signboard=signs)
    expected = f"Le~o{THIN}! At two o'clock{THIN}?"
    assert expected in list(bank.sentences(situation, 5))
    assert expected in {choose(bank, situation, [], Random(seed)).text for seed in range(20)}
