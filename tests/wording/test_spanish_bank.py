"""What the figure says in Spanish: marks that open and close, a polite address, any manner."""

import re
from collections.abc import Callable
from datetime import datetime
from random import Random
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.wording import Bank, Kind, Mood, Situation, choose, parse_bank

Situations = Callable[..., Situation]


@pytest.fixture(scope="module")
def text() -> str:
    return shipped("phrasebanks/es.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def spanish(text: str) -> Bank:
    return parse_bank(text, "es.yaml")


def test_exclamations_and_questions_are_opened_and_closed(spanish: Bank, asked: Situations) -> None:
    for kind in Kind:
        for time in ("14:30", None):
            for _, text in spanish.samples(asked(kind, time, moods=frozenset(Mood)), 60):
                assert text.count("¡") == text.count("!"), text
                assert text.count("¿") == text.count("?"), text
                assert not re.search(r"[¡¿]\s", text), text
                for opened in re.findall(r"(?:^|[.!?] )[¡¿](\w)", text):
                    assert opened.isupper(), text


def test_an_opening_mark_clings_however_the_bank_joins_it(bank_text: Callable[..., str]) -> None:
    apart = {Kind.CALL: ["¡ (ven | corre) <at_time>!", "¡ven <at_time>!", "¡<figure> <at_time>!"]}
    written = bank_text(apart).replace("language: en", "language: es")
    bank = parse_bank(written, "es.yaml")
    signs = Signboard("Fair", "Stall", "Barnaby Rook", ("es",), ZoneInfo("UTC"))
    start = datetime(2027, 2, 13, 15, 5, tzinfo=ZoneInfo("UTC"))
    situation = Situation(Kind.CALL, start, signs, at=start)
    said = set(bank.sentences(situation, 100))
    assert bank.count(situation) == len(said) == 3
    assert "¡Ven a las tres y cinco!" in said
    assert "¡Barnaby Rook a las tres y cinco!" in said
    drawn = {choose(bank, situation, [], Random(seed)).text for seed in range(60)}
    assert drawn == said


def test_the_figure_is_polite_and_of_no_gender(text: str) -> None:
    """It says "usted", and no adjective that would have to agree with who asks or who answers."""
    phrases = text[text.index("rules:") :]
    assert not re.search(r"\b(tú|ti|contigo|tienes|mira|acércate|vuelve)\b(?! a )", phrases)
    assert not re.search(r"\b(estoy|soy) (list|cansad|viej|segur)[oa]\b", phrases)
    assert not re.search(r"\b(amig[oa]|querid[ao] visitante|bienvenid[oa])\b", phrases)


@pytest.mark.parametrize("manner", ["peninsular", "american", "24-hour"])
def test_a_bank_may_keep_to_one_manner(text: str, asked: Situations, manner: str) -> None:
    bank = parse_bank(text.replace("clock: peninsular", f"clock: {manner}"), "es.yaml")
    for _, said in bank.samples(asked(Kind.NEXT, "14:40", moods=frozenset(Mood)), 60):
        (told,) = bank.clock.told(said)
        assert told.minutes % 720 == 2 * 60 + 40, said
        assert ("menos veinte" in said) <= (manner == "peninsular")
        assert ("para las tres" in said) <= (manner == "american")
        assert ("catorce" in said) is (manner == "24-hour")
