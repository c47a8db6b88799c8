"""A phrase bank that could tell a wrong time, tell it twice, or fall silent is refused."""

from collections.abc import Callable
from random import Random

import pytest

from showtime.settings import SettingsError
from showtime.wording import Bank, Kind, Situation, choose, parse_bank

BankText = Callable[..., str]
Situations = Callable[..., Situation]


def problems(text: str) -> list[str]:
    with pytest.raises(SettingsError) as caught:
        parse_bank(text, "bank.yaml")
    return [str(problem) for problem in caught.value.problems]


def marked(text: str, mark: str = "^") -> tuple[str, str]:
    """The text without its mark, and where the mark stood."""
    before, after = text.split(mark)
    place = f"bank.yaml:{before.count(chr(10)) + 1}:{len(before.rpartition(chr(10))[2]) + 1}: "
    return before + after, place


TELLINGS = [
    (Kind.NEXT, "at <time>, at ^<time>", "tells the start once more"),
    (Kind.NEXT, "(at <time> | soon) and (^<time> | then)", "tells the start once more"),
    (Kind.NEXT, "^at [<time>]", "in some of its sentences only"),
    (Kind.NEXT, "^(at <time> | soon)", "in some of its sentences only"),
    (Kind.NEXT, "^soon", "the start is told: use <time>"),
    (Kind.SOON, "in <minutes>, at ^<time>", "tells the start once more"),
    (Kind.NEXT, "in ^<minutes>", "<minutes> is for soon and call"),
    (Kind.LATE, "^at <time>", "no start is told"),
    (Kind.NEXT, "^<VOID> at <time>", "can never be said"),
    (Kind.LATE, "^late <day>", "can never be said"),
    (Kind.LATE, "^[late]", "may say nothing"),
    (Kind.LATE, "^" + "very " * 46 + "late", "may go on for 47 words"),
    (Kind.LATE, "back at ^half past two", "a listener hears a time here"),
    (Kind.NEXT, "give me ^five minutes, then at <time>", "a listener hears a time here"),
    (Kind.LATE, "back ^in a minute".replace("^in ", "in ^"), "a listener hears a time here"),
]


@pytest.mark.parametrize(("kind", "template", "what"), TELLINGS, ids=[t for _, t, _ in TELLINGS])
def test_a_template_tells_the_start_once_or_not_at_all(
    bank_text: BankText, kind: Kind, template: str, what: str
) -> None:
    spare = {Kind.NEXT: "at <time>", Kind.SOON: "at <time>"}.get(kind, "spare")
    text, place = marked(bank_text({kind: [spare, template]}))
    (problem,) = problems(text)
    assert problem.startswith(place)
    assert what in problem


def test_a_rule_that_tells_the_start_twice_is_named_once(bank_text: BankText) -> None:
    text, place = marked(
        bank_text(
            {Kind.NEXT: ["<a> at <time>", "so <b>"]}, {"a": "<b>", "b": "at <time> or ^<time>"}
        )
    )
    assert problems(text) == [f"{place}<b> tells the start twice; once is clear"]


def test_a_circle_of_rules_is_followed_once_round(bank_text: BankText) -> None:
    text, place = marked(
        bank_text({Kind.LATE: ["<a>", "late"]}, {"a": "x <b>", "b": "y | <c>", "c": "z ^<a>"})
    )
    (problem,) = problems(text)
    assert problem.startswith(place)
    assert "a -> b -> c -> a" in problem


@pytest.mark.parametrize("number", [60, 500])
def test_rules_within_rules_without_end_are_refused(bank_text: BankText, number: int) -> None:
    rules = {f"r{n}": f"x [<r{n + 1}>]" for n in range(number)} | {f"r{number}": "y"}
    found = problems(bank_text({Kind.LATE: ["<r0>", "late"]}, rules))
    assert found and all("too many rules lie within each other" in each for each in found)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("^[1, 2]", "a phrase bank has keys: language, clock, pronounce, rules, situations"),
        ("^", "a phrase bank has keys"),
    ],
)
def test_something_else_is_no_phrase_bank(text: str, what: str) -> None:
    text, place = marked(text)
    assert any(each.startswith(place) and what in each for each in problems(text))


SLIPS = [
    ("language: en", "language: ^xx", "no clock speaks 'xx'; there is one for: en"),
    ("language: en", "^clock: british", "does not say its language"),
    ("language: en", "language: en\n^sitations: {}", "did you mean situations?"),
    ("language: en", "language: en\nclock: ^brittish", "did you mean british?"),
    ("language: en", "language: en\nclock: [british, ^[american]]", "no such manner"),
    ("language: en", "language: en\nrules: ^[a]", "rules have names"),
    ("language: en", "language: en\nrules: {^time: a}", "<time> is built in"),
    ("language: en", "language: en\nrules: {^NULL: a}", "<NULL> is built in"),
    ("language: en", "language: en\nrules: {^a b: a}", "a rule's name has letters"),
    ("language: en", "language: en\nrules: {a: ^[b]}", "one that begins with '['"),
    ("language: en", "language: en\nrules: {a: ^{b: c}}", "one that holds ': '"),
    ("  late:\n", "  ^lat:\n    - x\n  late:\n", "did you mean late?"),
    ("  late:\n    - 'late.'", "  late: ^late", "write a list of templates"),
    ("  late:\n    - 'late.'", "  late: ^[]", "write a list of templates"),
    ("    - 'late.'", "    - 'late.'\n    - ^[late]", "one that begins with '['"),
    ("    - 'late.'", "    - 'late.'\n    - ^late: then", "one that holds ': '"),
    ("situations:\n  next:\n    - 'at <time>.'", "situations:\n  ^next:\n    - '<piece> at <time>'",
     "needs a template that can be said with <time>"),
    ("    - 'on now.'\n", "", "for a day with none to come"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "what"), SLIPS, ids=[what for _, _, what in SLIPS])
def test_a_slip_in_the_bank_is_named_where_it_stands(
    bank_text: BankText, old: str, new: str, what: str
) -> None:
    broken = bank_text().replace(old, new, 1)
    text, place = marked(broken) if "^" in broken else (broken, "bank.yaml:")
    found = problems(text)
    assert any(each.startswith(place) and what in each for each in found), found


def test_a_situation_without_words_is_missed(bank_text: BankText) -> None:
    text = bank_text().replace("  late:\n    - 'late.'\n", "")
    assert problems(text) == ["bank.yaml:3:3: there is nothing to say in the situation 'late'"]
    assert any("no 'situations'" in each for each in problems("language: en\n"))


def test_unused_rules_are_warned_of_and_do_not_hinder(bank_text: BankText) -> None:
    rules = {"used": "<deep>", "deep": "late", "idle": "<idler>", "idler": "x"}
    bank = parse_bank(bank_text({Kind.LATE: ["<used>", "late"]}, rules), "bank.yaml")
    assert [str(warning) for warning in bank.warnings] == [
        "bank.yaml:5:3: no template uses the rule <idle>",
        "bank.yaml:6:3: no template uses the rule <idler>",
    ]


def test_what_hangs_on_a_broken_rule_brings_no_further_problems(bank_text: BankText) -> None:
    text = bank_text({Kind.NEXT: ["<when>", "at <time>"]}, {"when": "at <time"})
    assert len(problems(text)) == 1


def test_a_start_of_another_day_without_its_day_is_warned_of(bank_text: BankText) -> None:
    rules = {"when": "[<day>] at <time>"}
    text, place = marked(
        bank_text({Kind.TOMORROW: ["<day> at <time>", "^<when>", "at <time> <day>"]}, rules)
    )
    (warning,) = parse_bank(text, "bank.yaml").warnings
    assert str(warning).startswith(place)
    assert "use <day>" in warning.message


PRONOUNCE = [
    ("Rook: ^''", "how 'Rook' is said is one text"),
    ("Rook: ^[ruck]", "how 'Rook' is said is one text"),
    ("Rook: ruck\n  ^rook: rook's", "capitals make no difference"),
    ("^'--': dash", "there is no word here"),
    ("Rook: ^" + "ruck" * 20, "no more than 60 characters"),
    ("Rook: ^'[[ ]]'", "no phonemes between"),
    ("Rook: ^'[[rUk'", "phonemes stand between"),
    ("Rook: ^'a [[rUk]]'", "phonemes stand between"),
    ("Rook: ^rook", "spelt like this anyway"),
    ("two: ^three", "a word of the time and keeps its letters"),
    ("half past: ^half before", "a word of the time and keeps its letters"),
    ("tomorrow: ^today", "a word of the time and keeps its letters"),
    ("friend: ^half past two", "a listener hears a time here"),
]


@pytest.mark.parametrize(("line", "what"), PRONOUNCE, ids=[line for line, _ in PRONOUNCE])
def test_a_pronunciation_that_cannot_be_right_is_named(
    bank_text: BankText, line: str, what: str
) -> None:
    text, place = marked(
        bank_text().replace("language: en\n", f"language: en\npronounce:\n  {line}\n")
    )
    (problem,) = problems(text)
    assert problem.startswith(place)
    assert what in problem


def test_the_voice_gets_the_spellings_as_they_stand(bank_text: BankText) -> None:
    table = "pronounce: {Rook: ruck, The Tin Orchard: the tin or chard, two: '[[tu:]]'}\n"
    bank = parse_bank(bank_text().replace("language: en\n", "language: en\n" + table), "bank.yaml")
    assert dict(bank.pronounced) == {
        "Rook": "ruck",
        "The Tin Orchard": "the tin or chard",
        "two": "[[tu:]]",
    }


def test_what_a_bank_leaves_out_is_said_in_the_words_of_another(
    english: Bank, asked: Situations
) -> None:
    text = 'language: en\nsituations:\n  next: ["mine is <at_time>."]\n'
    own = parse_bank(text, "own.yaml", lambda language: english if language == "en" else None)
    assert list(own.sentences(asked(Kind.NEXT, "14:00"), 5)) == ["Mine is at two o'clock."]
    late = asked(Kind.LATE)
    assert own.count(late) == english.count(late)
    assert choose(own, late, (), Random(1)).text in set(english.sentences(late, 10_000))


def test_without_another_every_situation_is_asked_for() -> None:
    text = 'language: en\nsituations:\n  next: ["mine is <at_time>."]\n'
    with pytest.raises(SettingsError) as raised:
        parse_bank(text, "own.yaml")
    assert len(raised.value.problems) == len(Kind) - 1
