"""The maker is told how many different sentences there are: exactly, not about."""

from collections.abc import Callable
from itertools import islice, product
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showtime.wording import Bank, Kind, Situation, parse_bank

BankText = Callable[..., str]
Situations = Callable[..., Situation]

# A grammar as nested tuples, to be written down for the program and expanded here by brute force.
WORDS = st.sampled_from(["a", "b", "c", '"a b"', '"b c"', "a.", ",", "<figure>", "<time>"])
TREES = st.recursive(
    WORDS.map(lambda word: ("word", word)),
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: ("all", *parts)),
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: ("one", *parts)),
        inner.map(lambda part: ("maybe", part)),
    ),
    max_leaves=12,
)
Tree = tuple[Any, ...]


def as_written(tree: Tree) -> str:
    sort, *parts = tree
    if sort == "word":
        return str(parts[0])
    inside = (" " if sort == "all" else " | ").join(map(as_written, parts))
    return f"[{inside}]" if sort == "maybe" else f"({inside})"


def rows_of_words(tree: Tree, said: dict[str, list[str]]) -> list[tuple[str, ...]]:
    """Every row of tokens that the tree may say, by brute force."""
    sort, *parts = tree
    if sort == "word":
        return [(word,) for word in said.get(parts[0], [parts[0].strip('"')])]
    each = [rows_of_words(part, said) for part in parts]
    if sort == "all":
        return [tuple(word for row in rows for word in row) for rows in product(*each)]
    rows = [row for option in each for row in option]
    return rows if sort == "one" else [(), *rows]


def joined(row: tuple[str, ...], names: frozenset[str]) -> str:
    """Words, with commas clinging and capitals where sentences begin."""
    text, due = "", True
    for word in row:
        shown = word[0].upper() + word[1:] if due else word
        text += shown if word in ",." or not text else " " + shown
        due = (word.endswith(".") and word not in names) or (due and word == ",")
    return text


def tells(tree: Tree) -> frozenset[int]:
    return frozenset(row.count("<time>") for row in rows_of_words(tree, {}))


@given(trees=st.lists(TREES, min_size=1, max_size=4))
@settings(
    max_examples=150,
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_counts_are_those_of_brute_force(
    trees: list[Tree], bank_text: BankText, asked: Situations
) -> None:
    telling = [tree for tree in trees if tells(tree) == {1}]
    silent = [
        tree
        for tree in trees
        if tells(tree) == {0} and all(set(row) - {","} for row in rows_of_words(tree, {}))
    ]
    text = bank_text(
        {
            Kind.NEXT: ["spare <time>", *map(as_written, telling)],
            Kind.LATE: ["spare", *map(as_written, silent)],
        }
    )
    bank = parse_bank(text, "bank.yaml")
    situations = {Kind.NEXT: (telling, "14:30"), Kind.LATE: (silent, None)}
    for kind, (said, at) in situations.items():
        situation = asked(kind, at)
        words = {"<figure>": ["Barnaby Rook"], "<time>": list(bank.clock.idioms(14, 30))}
        spare: list[Tree] = [("all", ("word", "spare"), *([("word", "<time>")] if at else []))]
        expected = {
            joined(row, frozenset()) for tree in spare + said for row in rows_of_words(tree, words)
        }
        assert bank.count(situation) == len(expected)
        assert set(bank.sentences(situation, 10_000)) == expected


def said_when_late(bank_text: BankText, templates: list[str], **rules: str) -> Bank:
    return parse_bank(bank_text({Kind.LATE: templates}, rules), "bank.yaml")


@pytest.mark.parametrize(
    ("templates", "number"),
    [
        (["late", "late"], 1),
        (["(a | a | b)", "b | c"], 3),
        (["[a] [a] [a] b"], 4),
        (["a b | a (b | c)", '"a b"'], 2),
        (["a, b", "a , b", '"a," b'], 1),
        (["late. so", "late. So", "Late. so"], 1),
        (["late so", "late So"], 2),
        (["[a | b] [a | b] c"], 7),
        (["the Tin Orchard", "the <stall>", "The The Tin Orchard"], 2),
    ],
)
def test_the_same_sentence_counts_once_wherever_it_comes_from(
    bank_text: BankText, asked: Situations, templates: list[str], number: int
) -> None:
    bank = said_when_late(bank_text, [*templates, "spare"])
    assert bank.count(asked(Kind.LATE)) == number + 1


def test_more_sentences_than_anyone_could_list_are_counted_at_once(
    bank_text: BankText, asked: Situations
) -> None:
    digit = "zero | uno | due | tre | quattro | cinque | sei | sette | otto | nove"
    bank = said_when_late(bank_text, [" ".join(["<digit>"] * 30), "late"], digit=digit)
    assert bank.count(asked(Kind.LATE)) == 10**30 + 1
    assert len(set(bank.sentences(asked(Kind.LATE), 500))) == 500
    endless = bank.sentences(asked(Kind.LATE), 10**29)
    assert len(set(islice(endless, 100))) == 100


def test_rules_that_fan_out_do_not_slow_the_count(bank_text: BankText, asked: Situations) -> None:
    rules = {f"r{n}": f"<r{n + 1}> x | <r{n + 1}> y | z" for n in range(40)} | {"r40": "w"}
    bank = said_when_late(bank_text, ["<r0>", "late"], **rules)
    assert bank.count(asked(Kind.LATE)) == 2**40 + sum(2**n for n in range(40)) + 1


def test_few_sentences_are_spread_over_all_of_them(bank_text: BankText, asked: Situations) -> None:
    bank = said_when_late(bank_text, ["(a | b | c | d) (1 | 2 | 3 | 4)", "late"])
    shown = list(bank.sentences(asked(Kind.LATE), 4))
    assert len({sentence[0] for sentence in shown}) == 4
    assert list(bank.sentences(asked(Kind.LATE), 0)) == []


def test_a_situation_without_a_start_to_tell_has_its_own_count(
    bank_text: BankText, asked: Situations
) -> None:
    bank = parse_bank(bank_text(), "bank.yaml")
    assert bank.count(asked(Kind.PLAYING)) == 1
    assert bank.count(asked(Kind.PLAYING, "14:30")) == len(bank.clock.idioms(14, 30))
    assert bank.count(asked(Kind.NEXT)) == 0
