"""Templates take turns, each as often as the maker's weights say, also after a restart."""

import json
from collections import Counter
from collections.abc import Callable, Iterator
from random import Random

import pytest
from scipy.stats import chisquare

from showtime.wording import Bank, Kind, Mood, Sentence, Situation, choose, parse_bank

BankText = Callable[..., str]
Situations = Callable[..., Situation]

CERTAINTY = 0.001
"""Weights count as honoured unless such a sample would be rarer than this; seeds are fixed."""

MANY = "(a | b | c | d | e | f | g | h | i | j)"
"""Said three times in a row it makes a thousand sentences: enough not to run dry."""


def answers(
    bank: Bank, situation: Situation, number: int, seed: int, said: list[str] | None = None
) -> Iterator[Sentence]:
    """One answer after the other, each remembered."""
    said = [] if said is None else said
    random = Random(seed)
    for _ in range(number):
        sentence = choose(bank, situation, said[-200:], random)
        said.append(sentence.text)
        yield sentence


def late_bank(bank_text: BankText, weights: list[float], sentences: str = MANY) -> Bank:
    """When late it says one of a thousand sentences, from templates of these weights."""
    names = ["oak", "elm", "ash", "fir", "yew", "box", "gum", "fig"]
    templates = [
        f"/{weight}/ {sentences} {name} {MANY} {MANY}"
        for weight, name in zip(weights, names, strict=False)
    ]
    return parse_bank(bank_text({Kind.LATE: templates}), "bank.yaml")


@pytest.mark.parametrize(
    "weights",
    [[1, 1, 1, 1, 1, 1, 1, 1], [3, 1, 1, 1, 1, 1, 1, 1], [1, 2, 3, 4, 5, 6], [9, 1], [6, 3, 1]],
    ids=str,
)
def test_weights_are_honoured_in_the_long_run_though_nothing_comes_again(
    bank_text: BankText, asked: Situations, weights: list[float], full: bool
) -> None:
    """Turns make the shares steadier than independent draws, so the test is the stricter for it."""
    bank = late_bank(bank_text, weights)
    number = 10_000 if full else 2_000
    said = list(answers(bank, asked(Kind.LATE), number, 17))
    heard = Counter(sentence.template for sentence in said)
    expected = [number * weight / sum(weights) for weight in weights]
    observed = [heard[place] for place in range(1, len(weights) + 1)]
    assert chisquare(observed, expected).pvalue > CERTAINTY, observed
    texts = [sentence.text for sentence in said]
    assert all(len(set(texts[at : at + 101])) == 101 for at in range(0, number - 101, 50))


def test_even_templates_never_come_twice_in_a_row(bank_text: BankText, asked: Situations) -> None:
    said = list(answers(late_bank(bank_text, [1] * 8), asked(Kind.LATE), 400, 5))
    for place in range(4, len(said)):
        four = {sentence.template for sentence in said[place - 4 : place]}
        assert said[place].template not in four


def test_a_template_with_few_sentences_cannot_have_its_share(
    bank_text: BankText, asked: Situations
) -> None:
    """What was said within the last hundred answers goes before the weights: ten sentences are at
    most a tenth of all answers, however heavy they are."""
    templates = [f"/5/ {MANY} oak", f"/5/ {MANY} elm {MANY} {MANY}"]
    bank = parse_bank(bank_text({Kind.LATE: templates}), "bank.yaml")
    said = list(answers(bank, asked(Kind.LATE), 1000, 3))
    heard = Counter(sentence.template for sentence in said)
    assert 80 <= heard[1] <= 100


def test_among_more_sentences_than_anyone_could_list_each_answer_is_new(
    bank_text: BankText, asked: Situations
) -> None:
    bank = late_bank(bank_text, [1, 1, 1], " ".join([MANY] * 28))
    assert bank.count(asked(Kind.LATE)) == 3 * 10**30
    said = [sentence.text for sentence in answers(bank, asked(Kind.LATE), 300, 9)]
    assert len(set(said)) == 300
    assert all(
        one.split()[:2] != other.split()[:2] for one, other in zip(said, said[1:], strict=False)
    )


def test_a_restart_changes_nothing(english_text: str, asked: Situations) -> None:
    """Whoever remembers the texts, and only those, goes on as if nothing had happened."""
    going_on = parse_bank(english_text, "en.yaml")
    said: list[str] = []
    for place in range(40):
        situation = asked(Kind.NEXT, f"14:{place:02}")
        said += [sentence.text for sentence in answers(going_on, situation, 1, place)]
    kept = json.dumps(said)
    restarted = parse_bank(english_text, "en.yaml")
    later = asked(Kind.NEXT, "15:30", moods=frozenset({Mood.BUSY}))
    before = list(answers(going_on, later, 30, 6, said))
    after = list(answers(restarted, later, 30, 6, json.loads(kept)))
    assert [each.text for each in before] == [each.text for each in after]


def test_templates_and_openings_rest_across_a_restart(english_text: str, asked: Situations) -> None:
    going_on = parse_bank(english_text, "en.yaml")
    restarted = parse_bank(english_text, "en.yaml")
    for seed in range(60):
        said: list[str] = []
        (first,) = answers(going_on, asked(Kind.NEXT, "14:30"), 1, seed, said)
        later = asked(Kind.NEXT, "14:30", minutes_before=9, moods=frozenset({Mood.LAST}))
        (second,) = answers(restarted, later, 1, seed, said)
        assert second.template != first.template
        assert second.text.split()[:2] != first.text.split()[:2]
