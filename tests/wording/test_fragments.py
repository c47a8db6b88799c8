"""What a maker records makes every sentence that the figure can say."""

from __future__ import annotations

import itertools
import random
import subprocess
import sys
from collections.abc import Callable, Iterable
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showtime.fair import Stall
from showtime.settings import shipped
from showtime.wording import (
    LANGUAGES,
    Bank,
    Kind,
    Mood,
    Script,
    Situation,
    choose,
    missing_from,
    parse_bank,
    script_of,
    situations_of,
    stretches,
)

NONE_BEYOND_THE_FEWEST = 9.0


def pieces(texts: Iterable[str]) -> set[tuple[tuple[str, ...], str]]:
    found = set()
    for text in texts:
        (only,) = stretches(text)
        found.add((only.words, only.ending.value))
    return found


def can_say(having: set[tuple[tuple[str, ...], str]], text: str) -> bool:
    """By trying every way to cut each stretch: slow, and sure."""

    def made(words: tuple[str, ...], ending: str) -> bool:
        return (words, ending) in having or any(
            (words[:cut], "") in having and made(words[cut:], ending)
            for cut in range(1, len(words))
        )

    return all(made(each.words, each.ending.value) for each in stretches(text))


def sentences(bank: Bank, stall: Stall, seed: int, number: int) -> Iterable[str]:
    """What the figure says at moments of the stall's days, in every situation."""
    luck = random.Random(seed)
    day = stall.days[0]
    for _ in range(number):
        kind = luck.choice(list(Kind))
        steps = luck.randrange(int(day.hours.length / day.wishes.start_on))
        at = day.hours.start + steps * day.wishes.start_on
        ahead = timedelta(minutes=luck.randrange(1, 60))
        situation = Situation(
            kind,
            at - ahead,
            stall.signboard,
            at=at,
            piece=luck.choice(day.pieces).name,
            why=luck.choice(day.quiet).why,
            moods=frozenset(luck.sample(list(Mood), luck.randrange(3))),
        )
        for each in (situation, Situation(kind, at, stall.signboard)):
            tells = each.at is not None
            if any(template.tells is tells for template in bank.templates[kind]):
                yield choose(bank, each, (), luck).text


@pytest.fixture(scope="module")
def script(english: Bank, tin_orchard: Stall) -> Script:
    return script_of(english, list(situations_of(tin_orchard)), worth=0.01)


def test_the_demos_script_is_an_evenings_reading(script: Script) -> None:
    assert len(script.fragments) <= 1000
    assert script.minutes <= 45
    assert script.no_fewer_than <= script.fewest <= len(script.fragments)
    assert script.joins < script.joins_of_fewest


def test_it_makes_every_sentence(
    script: Script, english: Bank, tin_orchard: Stall, full: bool
) -> None:
    having = pieces(each.text for each in script.fragments)
    for text in sentences(english, tin_orchard, seed=1, number=20_000 if full else 1500):
        assert can_say(having, text), text


@pytest.mark.parametrize("language", sorted(LANGUAGES))
def test_every_language_has_a_script_that_makes_its_sentences(
    language: str, tin_orchard: Stall
) -> None:
    path = shipped(f"phrasebanks/{language}.yaml")
    bank = parse_bank(path.read_text("utf-8"), str(path))
    situations = list(situations_of(tin_orchard))
    smallest = script_of(bank, situations, worth=NONE_BEYOND_THE_FEWEST)
    having = pieces(each.text for each in smallest.fragments)
    for text in sentences(bank, tin_orchard, seed=2, number=300):
        assert can_say(having, text), text


def test_no_fragment_of_it_can_be_left_out_unnoticed(
    english: Bank, tin_orchard: Stall, full: bool
) -> None:
    situations = list(situations_of(tin_orchard))
    smallest = script_of(english, situations, worth=NONE_BEYOND_THE_FEWEST)
    texts = [each.text for each in smallest.fragments]
    for place in range(0, len(texts), 7 if full else 150):
        left = texts[:place] + texts[place + 1 :]
        missing = missing_from(english, situations, left)
        assert [each.text for each in missing.fragments] == [texts[place]]


def test_a_new_name_is_all_that_is_missing_after_it(english: Bank, tin_orchard: Stall) -> None:
    from dataclasses import replace

    before = script_of(english, list(situations_of(tin_orchard)), worth=0.01)
    day = tin_orchard.days[0]
    renamed = replace(day, pieces=(replace(day.pieces[0], name="Thaw"), *day.pieces[1:]))
    stall = replace(tin_orchard, days=(renamed, *tin_orchard.days[1:]))
    missing = missing_from(
        english, list(situations_of(stall)), [each.text for each in before.fragments]
    )
    assert {each.text for each in missing.fragments} == {"Thaw", "Thaw."}


def test_what_no_sentence_has_any_more_is_told(english: Bank, tin_orchard: Stall) -> None:
    situations = list(situations_of(tin_orchard))
    texts = [each.text for each in script_of(english, situations, worth=0.01).fragments]
    missing = missing_from(english, situations, [*texts, "the dragon sneezes.", "half past"])
    assert missing.idle == ("the dragon sneezes.",)
    assert missing.fragments == ()


def test_the_order_is_the_same_on_every_run() -> None:
    code = (
        "from showtime.settings import load_stall, shipped\n"
        "from showtime.wording import parse_bank, script_of, situations_of\n"
        "path = shipped('phrasebanks/en.yaml')\n"
        "bank = parse_bank(path.read_text('utf-8'), str(path))\n"
        "stall = load_stall(shipped('config/tin-orchard.yaml'))\n"
        "script = script_of(bank, list(situations_of(stall)), worth=0.01)\n"
        "print([each.text for each in script.fragments])"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed, "PATH": ""},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(runs) == 1


def test_all_minutes_of_the_day_can_be_asked_for(english: Bank, tin_orchard: Stall) -> None:
    every = list(situations_of(tin_orchard, every_minute=True))
    script = script_of(english, every, kinds=[Kind.NEXT], worth=NONE_BEYOND_THE_FEWEST)
    having = pieces(each.text for each in script.fragments)
    for hour, minute in itertools.product(range(24), range(60)):
        for idiom in english.clock.idioms(hour, minute):
            assert can_say(having, f"{idiom}."), idiom


def small(bank_text: Callable[..., str], template: str, **rules: str) -> Bank:
    text = bank_text({Kind.NEXT: ["at <time>.", template]}, rules or None)
    return parse_bank(text, "bank.yaml")


def only_next(bank: Bank, stall: Stall, worth: float = NONE_BEYOND_THE_FEWEST) -> list[str]:
    script = script_of(bank, list(situations_of(stall)), kinds=[Kind.NEXT], worth=worth)
    return [each.text for each in script.fragments]


def test_words_that_only_come_together_are_one_fragment(
    bank_text: Callable[..., str], tin_orchard: Stall
) -> None:
    found = only_next(small(bank_text, "(come back | be here) for <piece> at <time>."), tin_orchard)
    assert {"come back for", "be here for"} <= set(found)


def test_what_clings_to_a_name_is_recorded_with_it(
    bank_text: Callable[..., str], tin_orchard: Stall
) -> None:
    found = only_next(small(bank_text, "<figure>'s turn comes at <time>."), tin_orchard)
    assert "Barnaby Rook's turn comes at" in found


def test_a_question_is_recorded_apart(bank_text: Callable[..., str], tin_orchard: Stall) -> None:
    found = only_next(small(bank_text, "(you ask? | you ask,) at <time>."), tin_orchard)
    assert {"you ask?", "you ask,"} <= set(found)


def test_a_text_falls_into_what_is_said_in_one_breath() -> None:
    read = [(" ".join(s.words), s.sign) for s in stretches('"Well, now": at 5.30 — sharp! Really?')]
    assert read == [
        ("well", ","),
        ("now", ":"),
        ("at 5.30", ","),
        ("sharp", "!"),
        ("really", "?"),
    ]
    assert stretches("") == stretches("… !") == ()


WORDS = st.sampled_from(["up", "down", "we", "go", "now", "and", "then", "brass"])
TOKENS = st.lists(WORDS, min_size=1, max_size=3).map(" ".join)
FORMS = st.recursive(
    TOKENS,
    lambda inner: st.one_of(
        st.tuples(inner, inner).map(" ".join),
        st.lists(inner, min_size=2, max_size=3).map(lambda each: f"({' | '.join(each)})"),
        inner.map(lambda each: f"[{each}]"),
        st.tuples(inner, st.sampled_from([",", ".", "?", ":"])).map("".join),
    ),
    max_leaves=7,
)


@settings(
    max_examples=30,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(before=FORMS, after=FORMS)
def test_any_grammar_is_made_of_its_fragments(
    before: str, after: str, bank_text: Callable[..., str], tin_orchard: Stall
) -> None:
    """Both lists make each sentence; the smallest is never larger than one of single words."""
    bank = small(bank_text, f"{before} at <time> {after}.")
    noon = tin_orchard.days[0].hours.start + timedelta(hours=2)
    situation = Situation(Kind.NEXT, noon, tin_orchard.signboard, at=noon + timedelta(minutes=30))
    for worth in (NONE_BEYOND_THE_FEWEST, 0.01):
        script = script_of(bank, [situation], kinds=[Kind.NEXT], worth=worth)
        having = pieces(each.text for each in script.fragments)
        for text in bank.sentences(situation, 100):
            assert can_say(having, text), (text, having)


@pytest.mark.parametrize(
    "template",
    [
        "(we | they) (go | stay).",
        "(a | b) c.",
        "we (go | stay | wait).",
        "[now] we go.",
        "we (go | stay), (go | stay).",
        "(up | down) and (up | down).",
        "here we are, (here | there).",
    ],
)
def test_small_lists_are_as_small_as_can_be(
    template: str, bank_text: Callable[..., str], tin_orchard: Stall
) -> None:
    """Against all sets of fragments there are, for grammars that can be tried out."""
    bank = parse_bank(bank_text({Kind.LATE: [template]}), "bank.yaml")
    situation = Situation(Kind.LATE, tin_orchard.days[0].hours.start, tin_orchard.signboard)
    script = script_of(bank, [situation], kinds=[Kind.LATE], worth=NONE_BEYOND_THE_FEWEST)
    texts = list(bank.sentences(situation, 1000))
    assert len(script.fragments) == fewest(texts)
    assert script.no_fewer_than <= len(script.fragments)


def fewest(texts: list[str]) -> int:
    """The size of the smallest set of runs of words that makes all texts, by trying them all."""
    runs = set()
    for text in texts:
        for each in stretches(text):
            for begin, end in itertools.combinations(range(len(each.words) + 1), 2):
                last = end == len(each.words)
                runs.add((each.words[begin:end], each.ending.value if last else ""))
    for size in itertools.count(1):
        for chosen in itertools.combinations(sorted(runs), size):
            if all(can_say(set(chosen), text) for text in texts):
                return size
    raise AssertionError
