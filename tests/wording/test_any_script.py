"""Letters of any kind in a bank: right to left, accents in two ways, pictures, unseen signs."""

import unicodedata
from collections.abc import Callable
from random import Random

import pytest

from showtime.settings import SettingsError
from showtime.wording import Bank, Kind, Situation, choose, parse_bank

BankText = Callable[..., str]
Situations = Callable[..., Situation]

HEBREW = "\u05e9\u05dc\u05d5\u05dd"
ARABIC = "\u0623\u0647\u0644\u0627\u064b"
TENT = "\U0001f3aa"
ASTRONAUT = "\U0001f469\u200d\U0001f680"
UNSEEN = ["\u200b", "\u200c", "\u200d", "\u00ad", "\u2060", "\u200f", "\u202b"]


def said(bank: Bank, situation: Situation, number: int = 40) -> list[str]:
    texts: list[str] = []
    random = Random(7)
    for _ in range(number):
        texts.append(choose(bank, situation, texts, random).text)
    return texts


@pytest.mark.parametrize("greeting", [HEBREW, ARABIC, TENT, ASTRONAUT, "\u0301", "\u200f" + HEBREW])
def test_any_script_is_counted_and_said_with_its_time(
    bank_text: BankText, asked: Situations, greeting: str
) -> None:
    bank = parse_bank(
        bank_text(
            {Kind.NEXT: [f"({greeting} | {greeting} {greeting}, you), <time>.", "at <time>"]}
        ),
        "bank.yaml",
    )
    situation = asked(Kind.NEXT, "14:35")
    idioms = len(bank.clock.idioms(14, 35))
    assert bank.count(situation) == 3 * idioms == len(set(bank.sentences(situation, 1000)))
    texts = said(bank, situation)
    assert set(texts) == set(bank.sentences(situation, 1000))


@pytest.mark.parametrize("words", ["caf\u00e9", "na\u00efve \u00e9clair", "\u1e69"])
def test_accents_are_one_letter_in_whatever_way_they_are_typed(
    bank_text: BankText, asked: Situations, words: str
) -> None:
    apart = unicodedata.normalize("NFD", words)
    assert apart != words
    bank = parse_bank(bank_text({Kind.LATE: [words, apart, "late"]}), "bank.yaml")
    assert bank.count(asked(Kind.LATE)) == 2
    assert set(said(bank, asked(Kind.LATE), 9)) == {words[0].upper() + words[1:], "Late"}


@pytest.mark.parametrize("unseen", UNSEEN)
def test_an_unseen_sign_makes_no_other_sentence(
    bank_text: BankText, asked: Situations, unseen: str
) -> None:
    bank = parse_bank(
        bank_text({Kind.LATE: ["late again", f"la{unseen}te {unseen} again{unseen}"]}), "bank.yaml"
    )
    assert list(bank.sentences(asked(Kind.LATE), 9)) == ["Late again"]


@pytest.mark.parametrize("unseen", UNSEEN)
def test_an_unseen_sign_hides_no_time(bank_text: BankText, unseen: str) -> None:
    template = f"late, past ha{unseen}lf past t{unseen}wo"
    text = bank_text({Kind.LATE: ["late", template]})
    with pytest.raises(SettingsError) as caught:
        parse_bank(text, "bank.yaml")
    (problem,) = caught.value.problems
    assert "a listener hears a time here" in problem.message
    line = text.split("\n")[problem.where.line - 1]
    assert line[problem.where.column - 1 :].startswith("ha")


def test_a_slip_is_found_behind_letters_of_any_kind(bank_text: BankText) -> None:
    for before in (HEBREW, ARABIC, ASTRONAUT, "e\u0301", "\u200b\u200b"):
        text = bank_text({Kind.LATE: ["late", f"{before} ) late"]})
        with pytest.raises(SettingsError) as caught:
            parse_bank(text, "bank.yaml")
        where = caught.value.problems[0].where
        assert text.split("\n")[where.line - 1][where.column - 1] == ")"


def test_a_time_may_not_hide_in_a_name(english: Bank, asked: Situations) -> None:
    for unseen in UNSEEN:
        name = f"The Ha{unseen}lf Past T{unseen}wo Waltz"
        for text in said(english, asked(Kind.NEXT, "14:30", piece=name), 60):
            assert "Waltz" not in text
