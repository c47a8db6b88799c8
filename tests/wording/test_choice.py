"""The figure answers in ever new words."""

from collections import Counter
from collections.abc import Callable, Iterator
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.stats import chisquare

from showtime.fair import Signboard
from showtime.wording import Bank, Kind, Mood, Sentence, Situation, WordingError, choose, parse_bank

BankText = Callable[..., str]
Situations = Callable[..., Situation]

CERTAINTY = 0.001
"""Weights count as honoured unless such a sample would be rarer than this; seeds are fixed."""


def answers(
    bank: Bank, situation: Situation, number: int, seed: int, remembered: list[str] | None = None
) -> Iterator[Sentence]:
    """One answer after the other, each remembered."""
    said = remembered if remembered is not None else []
    random = Random(seed)
    for _ in range(number):
        sentence = choose(bank, situation, said, random)
        said.append(sentence.text)
        yield sentence


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("at", ["14:30", None])
def test_no_sentence_comes_again_within_a_hundred_where_the_bank_allows_it(
    english: Bank, asked: Situations, kind: Kind, at: str | None, full: bool
) -> None:
    situation = asked(kind, at, minutes_before=2.5)
    number = english.count(situation)
    if not number:
        with pytest.raises(WordingError, match=f"no '{kind}'"):
            choose(english, situation, [], Random(1))
        return
    said = [sentence.text for sentence in answers(english, situation, 2000 if full else 300, 7)]
    reach = min(100, number - 1)
    for place, text in enumerate(said):
        assert text not in said[max(0, place - reach) : place]


@given(
    templates=st.lists(
        st.sampled_from(["(a | b) [c]", "d", "/9/ e (f | g | h)", "i", "[j] k l", "d"]),
        min_size=1,
        max_size=6,
    ),
    seed=st.integers(0, 2**32),
)
@settings(
    max_examples=60,
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_when_all_was_said_the_least_recent_comes_first(
    bank_text: BankText, asked: Situations, templates: list[str], seed: int
) -> None:
    bank = parse_bank(bank_text({Kind.LATE: templates}), "bank.yaml")
    number = bank.count(asked(Kind.LATE))
    assert number < 100
    said = [sentence.text for sentence in answers(bank, asked(Kind.LATE), 3 * number, seed)]
    assert len(set(said[:number])) == number
    assert said[number:] == said[:-number]


def test_the_very_last_new_sentence_is_found_among_a_million_draws_of_old_ones(
    bank_text: BankText, asked: Situations
) -> None:
    hundred = "(a | b | c | d | e | f | g | h | i | j) (k | l | m | n | o | p | q | r | s | t)"
    bank = parse_bank(
        bank_text({Kind.LATE: [f"/1e9/ {hundred}", "/1e-9/ (/1e9/ a k | /1e-9/ u)"]}), "bank.yaml"
    )
    said = list(answers(bank, asked(Kind.LATE), 101, 3))
    assert len({sentence.text for sentence in said}) == 101
    assert next(sentence.template for sentence in said if sentence.text == "U") == 2


@pytest.mark.parametrize("kind", [Kind.NEXT, Kind.SOON, Kind.CALL, Kind.CHANGED])
def test_templates_and_openings_take_turns(english: Bank, asked: Situations, kind: Kind) -> None:
    said = list(answers(english, asked(kind, "14:30", minutes_before=2), 300, 11))
    for before, after in zip(said, said[1:], strict=False):
        assert before.template != after.template
        assert before.text.split()[:2] != after.text.split()[:2]
    used = Counter(sentence.template for sentence in said)
    telling = len(english.choosable(kind, True, frozenset(Mood)))
    assert len(used) == telling
    assert max(used.values()) < 3 * len(said) / telling


def test_turns_are_kept_when_the_day_moves_on(english: Bank, asked: Situations) -> None:
    remembered: list[str] = []
    templates = []
    for minute in range(0, 60, 2):
        situation = asked(Kind.NEXT, f"15:{minute:02}", piece="The Pear Dance")
        templates += [
            sentence.template for sentence in answers(english, situation, 3, minute, remembered)
        ]
    assert all(before != after for before, after in zip(templates, templates[1:], strict=False))


@pytest.mark.parametrize(
    ("templates", "weights"),
    [
        (["/5/ a", "/3/ b", "/2/ c"], {"A": 5, "B": 3, "C": 2}),
        (["(/5/ a | /3/ b | /2/ c)"], {"A": 5, "B": 3, "C": 2}),
        (["/0.7/ a | /2.1/ b"], {"A": 1, "B": 3}),
        (["a | b | c"], {"A": 1, "B": 1, "C": 1}),
        (["[a] b"], {"A b": 1, "B": 1}),
        (["/3/ a", "b"], {"A": 3, "B": 1}),
    ],
)
def test_weights_are_honoured(
    bank_text: BankText,
    asked: Situations,
    templates: list[str],
    weights: dict[str, int],
    full: bool,
) -> None:
    bank = parse_bank(bank_text({Kind.LATE: templates}), "bank.yaml")
    number, random = 20_000 if full else 4_000, Random(5)
    drawn = Counter(choose(bank, asked(Kind.LATE), [], random).text for _ in range(number))
    total = sum(weights.values())
    expected = [number * weight / total for weight in weights.values()]
    assert set(drawn) == set(weights)
    assert chisquare([drawn[text] for text in weights], expected).pvalue > CERTAINTY


def test_every_idiom_of_the_time_is_used(english: Bank, asked: Situations) -> None:
    said = " ".join(
        sentence.text for sentence in answers(english, asked(Kind.NEXT, "14:15"), 300, 5)
    )
    for idiom in english.clock.idioms(14, 15):
        assert idiom in said.lower()


def test_the_same_seed_and_memory_give_the_same_sentence(english: Bank, asked: Situations) -> None:
    situation = asked(Kind.NEXT, "14:30")
    assert [s.text for s in answers(english, situation, 20, 4)] == [
        s.text for s in answers(english, situation, 20, 4)
    ]


def test_a_sentence_knows_its_language_situation_and_template(
    english: Bank, asked: Situations
) -> None:
    situation = asked(Kind.NEXT, "14:30")
    sentence = choose(english, situation, [], Random(1))
    assert (sentence.language, sentence.situation) == ("en", situation)
    assert 1 <= sentence.template <= len(english.templates[Kind.NEXT])


AWKWARD = [
    "Half Past Two",
    "The Noon Waltz",
    "At seven",
    "14:30",
    "5 minutes",
    "x" * 500,
    " \t\n",
    ".",
]


@pytest.mark.parametrize("name", AWKWARD)
def test_a_name_that_could_be_heard_as_a_time_is_left_unsaid(
    english: Bank, asked: Situations, name: str
) -> None:
    signs = Signboard(name, name, name, ("en",), asked(Kind.NEXT, "14:30").signboard.timezone)
    for kind, at in ((Kind.NEXT, "14:30"), (Kind.CHANGED, "14:30"), (Kind.CALLED_OFF, None)):
        situation = asked(kind, at, piece=name, why=name, signboard=signs)
        for sentence in answers(english, situation, 60, 3):
            assert not name.strip(" \t\n.") or name not in sentence.text


ODD = [
    "<b>Bold</b> & (odd) | [x] {y} /z/ * +",
    'The "Quoted" One',
    "Ünïcödé ☂",
    "50% off; now",
    "a\nb",
    "Tea for two",
]


@pytest.mark.parametrize("name", ODD)
def test_odd_characters_in_names_are_said_as_they_are(
    english: Bank, asked: Situations, name: str
) -> None:
    situation = asked(Kind.NEXT, "14:30", piece=name)
    texts = [sentence.text for sentence in answers(english, situation, 150, 3)]
    shown = " ".join(name.split())
    assert any(shown in text for text in texts)


def test_words_beside_a_name_never_make_a_second_time(
    bank_text: BankText, asked: Situations
) -> None:
    bank = parse_bank(
        bank_text({Kind.NEXT: ["at <time>, <piece> past four", "at <time>"]}), "bank.yaml"
    )
    for name in ("Ten", "Minuet"):
        situation = asked(Kind.NEXT, "14:30", piece=name)
        texts = [sentence.text for sentence in answers(bank, situation, 40, 3)]
        assert any("past four" in text for text in texts) is (name == "Minuet")
