"""A name is spelt for the voice as the maker wants it said; the screen shows it as it is."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from showtime.voice import Clip, EmbeddedVoice
from showtime.voice.pronouncing import LONGEST_SPELLING, Pronunciation


def table(spellings: Mapping[str, str], language: str = "en") -> Pronunciation:
    """A table whose voice knows the phonemes that are letters."""

    def reads_back(phonemes: str) -> str:
        return "".join(letter for letter in phonemes if letter.isalpha())

    return Pronunciation.of(spellings, language, reads_back)


def said(line: str, spellings: Mapping[str, str], language: str = "en") -> str:
    return table(spellings, language).spoken(line)[0]


def rendered(text: str, spellings: Mapping[str, str], language: str = "en") -> Clip:
    return EmbeddedVoice(pronounced={language: spellings}).render(text, language)


@pytest.mark.parametrize(
    ("line", "spellings", "spoken"),
    [
        ("Rook plays", {"Rook": "ruck"}, "ruck plays"),
        ("ROOK plays, rook!", {"Rook": "ruck"}, "ruck plays, ruck!"),
        ("Rookery and crook", {"Rook": "ruck"}, "Rookery and crook"),
        ("Barnaby Rook, Rook", {"Rook": "ruck", "Barnaby Rook": "our bird"}, "our bird, ruck"),
        ("barnaby   rook", {"Barnaby Rook": "our bird"}, "our bird"),
        ("Rook's turn", {"Rook": "ruck"}, "ruck's turn"),
        ("(Rook), Rook-like", {"Rook": "ruck"}, "(ruck), ruck-like"),
        ("a b", {"a": "b", "b": "a"}, "b a"),
        ("Café", {"Cafe\u0301": "kaffay"}, "kaffay"),
        ("Cafe\u0301", {"Café": "kaffay"}, "kaffay"),
        ("Äpfel ÄPFEL", {"äpfel": "Epfel"}, "Epfel Epfel"),
        ("3.5 V", {"3.5": "three and a half"}, "three and a half V"),
        ("a+b.c", {"a+b": "ab", "b.c": "bc"}, "ab.c"),
        ("St. Ives", {"St.": "Saint"}, "Saint Ives"),
        (r"back\slash", {r"back\slash": r"\1 \g<word>"}, r"\1 \g word"),
        ("Rook", {}, "Rook"),
    ],
)
def test_whole_words_are_replaced_in_any_case(
    line: str, spellings: Mapping[str, str], spoken: str
) -> None:
    assert said(line, spellings) == spoken


@pytest.mark.parametrize(
    ("phonemes", "line", "spoken"),
    [
        ("[[rUk]]", "Rook plays", "[[rUk]] plays"),
        ("[[rUk]]", "Rook's turn", "[[rUks]] turn"),
        ("[[rUk]]", "Rook\N{RIGHT SINGLE QUOTATION MARK}s turn", "[[rUks]] turn"),
        ("[[rUm]]", "Rook's turn", "[[rUmz]] turn"),
        ("[[rUS]]", "Rook's turn", "[[rUSIz]] turn"),
        ("[[rUk]]", "Rooks", "Rooks"),
    ],
)
def test_phonemes_of_the_table_get_through(phonemes: str, line: str, spoken: str) -> None:
    assert table({"Rook": phonemes}).spoken(line) == (spoken, spoken.startswith("[["))


def test_only_english_has_an_english_possessive() -> None:
    assert said("Rook's", {"Rook": "[[rUk]]"}, "de") == "[[rUk]]'s"


BROKEN = [
    "[[]]",
    "[[ ]]",
    "[[''']]",
    "[[,,]]",
    "[[||]]",
    "[[_:_:]]",
    "[[r'U7k]]",
    "[[r'U!k]]",
    "[[ɹʊk]]",
    "[[(en)hello]]",
    "[[_^_zz h'alb]]",
    "[[r'Uk",
    "r'Uk]]",
    "[[r'Uk]] [[r'Uk]]",
    "[[[[r'Uk]]]]",
    "[[r'U]k]]",
    "[[" + "a" * 500 + "]]",
    "[[" + "Q" * 5_000 + "]]",
    "a" * (LONGEST_SPELLING + 1),
    "",
    "   ",
    "\x00",
    "[[r\x00Uk]]",
]


@pytest.mark.parametrize("spelling", BROKEN, ids=range(len(BROKEN)))
@pytest.mark.parametrize("language", ["en", "de"])
def test_what_the_voice_cannot_say_is_named_and_the_word_is_spoken_as_written(
    spelling: str, language: str
) -> None:
    voice = EmbeddedVoice(pronounced={language: {"Rook": spelling, "Pear": "[[p'e:]]"}})
    plain = EmbeddedVoice()
    assert voice.render("Rook", language).seconds == pytest.approx(
        plain.render("Rook", language).seconds, abs=0.03
    )
    (line,) = voice.troubles
    assert "'Rook'" in line
    assert "\n" not in line


def test_good_phonemes_are_no_trouble() -> None:
    for language, spelling in [("en", "[[r'u:k]]"), ("de", "[[r'u:k]]"), ("de", "[[h'alb dr'aI]]")]:
        assert EmbeddedVoice(pronounced={language: {"Rook": spelling}}).troubles == ()


def test_phonemes_change_the_sound_of_their_word_alone() -> None:
    plain = rendered("Rook", {})
    drawn = rendered("Rook", {"Rook": "[[r'u:u:u:u:k]]"})
    assert drawn.seconds > plain.seconds + 0.15
    assert rendered("Pear Dance", {"Rook": "[[r'u:u:u:u:k]]"}).seconds == pytest.approx(
        rendered("Pear Dance", {}).seconds, abs=0.03
    )


def test_another_spelling_is_what_is_said() -> None:
    assert rendered("Rook", {"Rook": "a long story about a bird"}).seconds == pytest.approx(
        rendered("a long story about a bird", {}).seconds, abs=0.03
    )


def test_the_table_of_a_language_is_used_for_its_kinds() -> None:
    voice = EmbeddedVoice(pronounced={"en": {"Rook": "a long story about a bird"}})
    assert voice.render("Rook", "en-GB").seconds > 1
    assert voice.render("Rook", "de").seconds < 1


def test_brackets_in_what_is_said_are_never_phonemes() -> None:
    """Only the table may use them: a piece may be called [[Rook]]."""
    voice = EmbeddedVoice(pronounced={"en": {"Pear": "[[p'e@]]"}})
    odd = voice.render("[[QQQQ]] the Pear", "en")
    assert odd.seconds == pytest.approx(voice.render("QQQQ the Pear", "en").seconds, abs=0.03)


def test_a_table_for_a_language_without_a_voice_harms_nobody() -> None:
    voice = EmbeddedVoice(pronounced={"xx": {"Rook": "[[zz]]"}})
    assert voice.troubles == ()
    assert voice.render("Rook", "en").seconds > 0.2


def test_a_thousand_words_cost_no_time_that_can_be_heard() -> None:
    voice = EmbeddedVoice(pronounced={"en": {f"word{n}": f"sound {n}" for n in range(1_000)}})
    assert voice.render("word7 and word999", "en").seconds > 1


def test_spellings_do_not_make_a_long_text_endless() -> None:
    assert 1 < rendered("a " * 2_000, {"a": "b" * LONGEST_SPELLING}).seconds < 200
    assert said("a " * 2_000, {"a": "b" * LONGEST_SPELLING}) == "a " * 2_000


FUZZ = """
import random, sys
from showtime.voice import EmbeddedVoice
chance = random.Random(int(sys.argv[1]))
LETTERS = "abQ7[]'@:_^()|=%,;!?{}<> \\x07\\u0301\\xdf\\u65e5"
def nonsense():
    return "".join(chance.choice(LETTERS) for _ in range(chance.randint(0, 80)))
for _ in range(int(sys.argv[2])):
    spelling = nonsense()
    if chance.random() < 0.7:
        spelling = f"[[{spelling}]]"
    word = chance.choice(["Rook", "the", nonsense() or "x"])
    voice = EmbeddedVoice(pronounced={chance.choice(["en", "de", "fr"]): {word: spelling}})
    for language in ("en", "de", "fr"):
        assert voice.render(f"Rook plays {word} at the fair", language).seconds > 0.5
    voice.troubles
print("alive")
"""


def test_no_table_ends_the_program_or_silences_it(full: bool) -> None:
    """In a process of its own: the synthesiser's library would take this one with it."""
    done = subprocess.run(
        [sys.executable, "-c", FUZZ, "1", "1000" if full else "15"],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        timeout=600,
        check=False,
    )
    assert (done.stdout, done.stderr, done.returncode) == ("alive\n", "", 0)
