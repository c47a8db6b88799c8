"""The maker is told how varied the words are: exactly where that can be, and by trying."""

from collections.abc import Callable
from itertools import product
from math import log, sqrt
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showtime.wording import Audit, Bank, Kind, Mood, Situation, Varied, audit, parse_bank
from showtime.wording.variety import seconds_of

BankText = Callable[..., str]
Situations = Callable[..., Situation]
Tree = tuple[Any, ...]
RATE = 170


def audited(bank: Bank, situation: Situation, *names: str) -> Audit:
    return audit(bank, [situation], names, RATE, Random(1))


def varied(bank: Bank, situation: Situation) -> Varied:
    (row,) = audited(bank, situation).situations
    return row


# A grammar with weights as nested tuples: written down for the program, and drawn here by hand.
TREES = st.recursive(
    st.sampled_from(["oak", "elm", '"oak elm"', "yew"]).map(lambda word: ("word", word)),
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: ("all", *parts)),
        st.lists(st.tuples(st.integers(1, 4), inner), min_size=1, max_size=3).map(
            lambda options: ("one", *options)
        ),
        inner.map(lambda part: ("maybe", part)),
    ),
    max_leaves=8,
)


def as_written(tree: Tree) -> str:
    sort, *parts = tree
    if sort == "word":
        return str(parts[0])
    if sort == "one":
        return "(" + " | ".join(f"/{weight}/ {as_written(part)}" for weight, part in parts) + ")"
    inside = " ".join(map(as_written, parts))
    return f"[{inside}]" if sort == "maybe" else f"({inside})"


def drawn(tree: Tree) -> dict[str, float]:
    """Every text of the tree with its chance; equal texts are one."""
    sort, *parts = tree
    if sort == "word":
        return {parts[0].strip('"'): 1.0}
    chances: dict[str, float] = {}
    if sort == "all":
        for row in product(*(drawn(part).items() for part in parts)):
            text, chance = " ".join(filter(None, (text for text, _ in row))), 1.0
            for _, each in row:
                chance *= each
            chances[text] = chances.get(text, 0.0) + chance
        return chances
    options = parts if sort == "one" else [(1, parts[0]), (1, ("all",))]
    total = sum(weight for weight, _ in options)
    for weight, part in options:
        for text, chance in drawn(part).items():
            chances[text] = chances.get(text, 0.0) + chance * weight / total
    return chances


@given(trees=st.lists(st.tuples(st.integers(1, 9), TREES), min_size=1, max_size=3))
@settings(
    max_examples=20,
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_a_repeat_is_as_likely_as_brute_force_says(
    trees: list[tuple[int, Tree]], bank_text: BankText, asked: Situations
) -> None:
    templates = [f"/{weight}/ late ({as_written(tree)})" for weight, tree in trees]
    bank = parse_bank(bank_text({Kind.LATE: templates}), "bank.yaml")
    total = sum(weight for weight, _ in trees)
    chances: dict[str, float] = {}
    for weight, tree in trees:
        for text, chance in drawn(tree).items():
            chances[text] = chances.get(text, 0.0) + chance * weight / total
    meets = sum(chance**2 for chance in chances.values())
    row = varied(bank, asked(Kind.LATE))
    assert row.distinct == len(chances)
    assert row.likely_after == pytest.approx(0.5 + sqrt(0.25 + 2 * log(2) / meets))


def test_what_differs_in_small_words_or_close_sounds_is_one_to_the_ear(
    bank_text: BankText, asked: Situations
) -> None:
    templates = ["(the | my | a) wheel turns [now]", "the weel durns", "the lamp glows"]
    bank = parse_bank(bank_text({Kind.LATE: templates}), "bank.yaml")
    row = varied(bank, asked(Kind.LATE))
    assert (row.distinct, row.by_ear) == (8, 2)
    ((one, other),) = row.alike
    assert one != other
    assert {"lamp"}.isdisjoint((one + other).split())


def test_the_shortest_and_the_longest_are_found_without_looking_at_all(
    english: Bank, asked: Situations
) -> None:
    for kind, at in ((Kind.CALL, "14:30"), (Kind.CLOCK_UNSET, None), (Kind.TOMORROW, "14:30")):
        situation = asked(kind, at, minutes_before=2)
        row = varied(english, situation)
        lengths = [seconds_of(text, "en", RATE) for text in english.sentences(situation, 10_000)]
        assert row.shortest.seconds == pytest.approx(min(lengths))
        assert row.longest.seconds == pytest.approx(max(lengths))
        assert seconds_of(row.longest.text, "en", RATE) == pytest.approx(max(lengths))
        assert row.longest.text in set(english.sentences(situation, 10_000))


def test_trying_agrees_with_the_chances(english: Bank, asked: Situations) -> None:
    for kind in (Kind.NEXT, Kind.SOON, Kind.CHANGED):
        row = varied(english, asked(kind, "14:30", minutes_before=2))
        assert row.likely_after is not None
        assert row.without_memory is not None
        assert row.likely_after / 2 < row.without_memory < row.likely_after * 2
        assert row.with_memory is None or row.with_memory > 100


def test_shares_are_told_by_weight_and_as_heard(bank_text: BankText, asked: Situations) -> None:
    many = "(a | b | c | d | e | f) (g | h | i | j | k | l) (m | n | o | p | q | r)"
    bank = parse_bank(bank_text({Kind.LATE: [f"/3/ x {many}", "/1/ y"]}), "bank.yaml")
    often, once = varied(bank, asked(Kind.LATE)).shares
    assert (often.by_weight, once.by_weight) == (0.75, 0.25)
    assert once.heard <= 0.02
    assert often.heard + once.heard == pytest.approx(1)
    assert (often.where.line, once.where.line) == (13, 14)


def test_each_mood_is_counted_with_what_is_said_in_it_alone(
    bank_text: BankText, asked: Situations
) -> None:
    templates = ["at <time>", "<when_last> once more at <time>", "<when_last> [last] at <time>"]
    bank = parse_bank(bank_text({Kind.NEXT: templates}), "bank.yaml")
    row = varied(bank, asked(Kind.NEXT, "14:30"))
    idioms = len(bank.clock.idioms(14, 30))
    moods = {moody.mood: moody for moody in row.moods}
    assert row.distinct == moods[Mood.EARLY].distinct == idioms
    assert moods[Mood.LAST].distinct == 3 * idioms
    assert moods[Mood.LAST].own == moods[Mood.LAST].reached == (2, 3)
    assert moods[Mood.BUSY].own == ()
    assert moods[Mood.LAST].by_weight == pytest.approx(2 / 3)


def test_rules_that_are_never_said_are_named(bank_text: BankText, asked: Situations) -> None:
    rules = {"idle": "x", "hidden": "on <day>", "deep": "y <hidden>", "used": "late"}
    bank = parse_bank(bank_text({Kind.LATE: ["<used>", "so late [<deep>]"]}, rules), "bank.yaml")
    found = audited(bank, asked(Kind.LATE)).never_reached
    assert [str(problem) for problem in found] == [
        "bank.yaml:3:3: no template uses the rule <idle>",
        "bank.yaml:4:3: <hidden> is named, but never where it can be said",
        "bank.yaml:5:3: <deep> is named, but never where it can be said",
    ]


DOUBTFUL = {
    "caf\u00e9": "is no letter of this language",
    "7": "digits",
    "B2B": "digits",
    "NATO": "letter by letter",
    "McGear": "a capital within a word",
    "brr": "without a vowel",
    "i.e.": "an abbreviation",
    "hmmm": "without a vowel",
    "aaargh": "three times",
    "50%": "digits",
    "R&B": "the sign &",
    "\U0001f3aa": "the sign",
    "\u05e9\u05dc\u05d5\u05dd": "is no letter of this language",
}


@pytest.mark.parametrize("word", DOUBTFUL)
def test_words_that_a_voice_may_say_wrong_are_named_where_they_stand(
    bank_text: BankText, asked: Situations, word: str
) -> None:
    text = bank_text({Kind.LATE: [f"I am late, {word}, very late", "late"]})
    (found,) = audited(parse_bank(text, "bank.yaml"), asked(Kind.LATE)).doubtful
    assert found.word == word.rstrip(".")
    assert DOUBTFUL[word] in found.why
    assert found.where is not None
    assert text.split("\n")[found.where.line - 1][found.where.column - 1 :].startswith(word)
    if not any(map(str.isalnum, word)):
        return  # a picture cannot be spelt otherwise, only taken out
    spelt = text.replace("language: en\n", f'language: en\npronounce: {{"{word}": "so"}}\n')
    assert audited(parse_bank(spelt, "bank.yaml"), asked(Kind.LATE)).doubtful == ()


def test_plain_words_raise_no_doubt(bank_text: BankText, asked: Situations) -> None:
    words = "o'clock well-oiled I a \"quoted\" Barnaby's rhythm, fly! don't"
    bank = parse_bank(bank_text({Kind.LATE: [words.replace('"', ""), "late"]}), "bank.yaml")
    assert audited(bank, asked(Kind.LATE), "Barnaby Rook", "The Tin Orchard").doubtful == ()


def test_names_from_the_settings_are_doubted_too(bank_text: BankText, asked: Situations) -> None:
    bank = parse_bank(bank_text(), "bank.yaml")
    (found,) = audited(bank, asked(Kind.LATE), "The \u00d8rchard").doubtful
    assert found.word == "\u00d8rchard"
    assert found.where is None
