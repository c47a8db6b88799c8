"""The maker writes templates, and is told of a slip at the very character."""

from collections.abc import Callable

import pytest

from showtime.settings import SettingsError
from showtime.wording import Kind, Situation, parse_bank

BankText = Callable[..., str]


@pytest.fixture
def said(bank_text: BankText, asked: Callable[..., Situation]) -> Callable[..., list[str]]:
    """All that one template may say when the clock is lost, in order."""

    def sentences(template: str, **rules: str) -> list[str]:
        text = bank_text({Kind.CLOCK_UNSET: [template, "spare"]}, rules)
        sentences = parse_bank(text, "bank.yaml").sentences(asked(Kind.CLOCK_UNSET), 10_000)
        return [sentence for sentence in sentences if sentence != "Spare"]

    return sentences


@pytest.mark.parametrize(
    ("template", "sentences"),
    [
        ("I am lost.", ["I am lost."]),
        ("I am (lost | stuck).", ["I am lost.", "I am stuck."]),
        ("lost | stuck", ["Lost", "Stuck"]),
        ("I am [quite] lost.", ["I am lost.", "I am quite lost."]),
        ("/9/ lost | /1/ stuck", ["Lost", "Stuck"]),
        ("/9/ lost", ["Lost"]),
        ("[well, ] lost", ["Lost", "Well, lost"]),
        ("(a | b) (c | d)", ["A c", "A d", "B c", "B d"]),
        ("a | b c", ["A", "B c"]),
        ("a [b [c]]", ["A", "A b", "A b c"]),
        ("a <NULL> b", ["A b"]),
        ("a | b <VOID>", ["A"]),
        ("a {a tag} (b {\\} too} | c)", ["A b", "A c"]),
        ('"a  b" c', ["A b c"]),
        ('a "(b)" "\\"c\\"" "/"', ['A (b) "c" /']),
        ('my "Tin Orchard" is shut', ["My Tin Orchard is shut"]),
    ],
)
def test_a_template_says_what_the_grammar_format_means(
    said: Callable[..., list[str]], template: str, sentences: list[str]
) -> None:
    assert said(template) == sentences


def test_rules_are_said_in_place_of_their_names(said: Callable[..., list[str]]) -> None:
    assert said("<hail>, <who>.", hail="hello | ahoy", who="my <friend>", friend="friend") == [
        "Ahoy, my friend.",
        "Hello, my friend.",
    ]


@pytest.mark.parametrize(
    ("template", "sentence"),
    [
        ("lost . so ask , please !", "Lost. So ask, please!"),
        ("what ? yes .", "What? Yes."),
        ("well ... so it goes", "Well... so it goes"),
        ('"“lost.”" then silence', "“Lost.” Then silence"),
        ("<figure>'s clock stopped", "Barnaby Rook's clock stopped"),
        ("<stall>: shut", "The Tin Orchard: shut"),
        ("(lost), (you see)", "Lost, you see"),
        ("'tis lost", "'Tis lost"),
        ("2 clocks lost", "2 clocks lost"),
        ("éclairs and ßcharp", "Éclairs and ßcharp"),
        ("ßcharp", "ßcharp"),
    ],
)
def test_spaces_and_capitals_fall_where_a_writer_puts_them(
    said: Callable[..., list[str]], template: str, sentence: str
) -> None:
    assert said(template) == [sentence]


SLIPS = [
    ("I am ^(lost", "this ( is never closed with )"),
    ("I am lost^)", "this ) closes nothing"),
    ("I ^[am lost", "this [ is never closed with ]"),
    ("I (am [lost^) now]", "[ was opened last, so ] must come before this"),
    ("I am lost^] now", "this ] closes nothing"),
    ("I am (lost | ^)", "an alternative is empty here"),
    ("I am (^| lost)", "an alternative is empty here"),
    ("I am (^)", "an alternative is empty here"),
    ("I am [^]", "an alternative is empty here"),
    ("lost |^", "an alternative is empty here"),
    ("I am very^* lost", "any number of times"),
    ("I am (very)^+ lost", "any number of times"),
    ("a (/0.5/ b | ^c)", "this one has none"),
    ("a (b | /1/ c | d)", "this one has none"),
    ("a (^/0/ b | /1/ c)", "more than nothing"),
    ("a (^/-1/ b | /1/ c)", "a weight is a number"),
    ("a (^/x/ b | /1/ c)", "a weight is a number"),
    ("a ^/3/ b", "a weight stands at the beginning"),
    ("and^/or", "a / opens a weight"),
    ("a ^// comment", "no comment begins here"),
    ("lost^; so", "no ; in it"),
    ("lost ^= so", "no = in it"),
    ("a ^\\b", "a backslash stands only between quotes"),
    ('a ^"b', "this quote is never closed"),
    ('a ^" "', "nothing between these quotes"),
    ("a ^<b", "opens no rule's name"),
    ("a ^<b c>", "opens no rule's name"),
    ("a ^> b", "closes no rule's name"),
    ("a ^{b", "this tag is never closed"),
    ("a ^} b", "closes no tag"),
    ("^{tag} a", "a tag stands behind"),
    ("a ^<tiem>", "there is no rule <tiem>; did you mean <time>?"),
    ("a (b | ^<com.example.b>)", "there is no rule <com.example.b>"),
    ("^", "there is nothing to say here"),
    ("(" * 20 + "^(a" + ")" * 21, "no more than 20 brackets"),
]


@pytest.mark.parametrize(("marked", "what"), SLIPS, ids=[marked for marked, _ in SLIPS])
def test_a_slip_is_named_at_its_character(bank_text: BankText, marked: str, what: str) -> None:
    template = marked.replace("^", "")
    text = bank_text({Kind.CLOCK_UNSET: [template]})
    with pytest.raises(SettingsError) as caught:
        parse_bank(text, "bank.yaml")
    problem = caught.value.problems[0]
    assert what in problem.message
    line = text.splitlines().index("  clock_unset:") + 2
    if "^" in marked:
        column = len("    - '") + marked.index("^") + 1
        assert str(problem).startswith(f"bank.yaml:{line}:{column}: ")


WAYS = {
    "plain": "    - I am ) so lost\n",
    "single quotes": "    - 'I''m ''so'' ) lost'\n",
    "double quotes": '    - "I \\"am\\" \\u0061\\x62\\tso ) lost"\n',
    "continued": '    - "I am \\\n         so ) lost"\n',
    "folded lines": "    - I am\n      so\n\n      very ) lost\n",
    "folded block": "    - >\n      I am\n      so ) lost\n",
    "literal block": "    - |-\n      I am\n      so\n        very ) lost\n",
    "anchor": "    - &why I am ) so lost\n",
    "wide letters": "    - Ich bin äußerst ) verloren\n",
}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_the_character_is_found_however_the_text_is_written_in_yaml(
    bank_text: BankText, way: str, ends: str
) -> None:
    text = bank_text().replace("    - 'lost.'\n", WAYS[way]).replace("\n", ends)
    with pytest.raises(SettingsError) as caught:
        parse_bank(text, "bank.yaml")
    where = caught.value.problems[0].where
    assert text.splitlines()[where.line - 1][where.column - 1] == ")"


def test_all_slips_are_told_together(bank_text: BankText) -> None:
    text = bank_text(
        {Kind.LATE: ["(late", "later)"], Kind.NEXT: ["at <tiem>."]}, {"a": "b*", "c": "<d>"}
    )
    with pytest.raises(SettingsError) as caught:
        parse_bank(text, "bank.yaml")
    assert [problem.where.line for problem in caught.value.problems] == [3, 4, 7, 16, 17]
