"""However a phrase bank is broken, the maker gets file, line and column: never a traceback."""

from collections.abc import Callable
from random import Random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showtime.settings import SettingsError
from showtime.wording import Bank, Kind, Situation, audit, parse_bank

BankText = Callable[..., str]
Situations = Callable[..., Situation]
SIGNS = list("()[]{}<>|/*+;=\"'\\:#-&!%@`,.?~ \t\n0a")
SIGNS += ["<time>", "<VOID>", "/3/", "half past two", "\u05e9", "e\u0301", "\U0001f3aa", "\u200b"]
SIGNS += ["[[", "]]", "<hail>", "\x00", "\x85", "\u2028"]


def outcome(text: str) -> Bank | list[str]:
    """The bank, or its problems; each must lie within the text."""
    try:
        return parse_bank(text, "bank.yaml")
    except SettingsError as error:
        problems = error.problems
    lines = text.split("\n")
    for problem in problems:
        where = problem.where
        assert where.file == "bank.yaml"
        assert 1 <= where.line <= len(lines)
        assert 1 <= where.column <= len(lines[where.line - 1]) + 1, problem
        assert problem.message
    assert problems
    return [str(problem) for problem in problems]


def broken(text: str, random: Random) -> str:
    """The text with a few signs put in, taken out or exchanged, or a line lost or doubled."""
    for _ in range(random.randint(1, 3)):
        place = random.randrange(len(text))
        match random.randrange(5):
            case 0:
                text = text[:place] + random.choice(SIGNS) + text[place:]
            case 1:
                text = text[:place] + text[place + random.randint(1, 4) :]
            case 2:
                text = text[:place] + random.choice(SIGNS) + text[place + 1 :]
            case 3:
                lines = text.split("\n")
                lines.pop(random.randrange(len(lines)))
                text = "\n".join(lines)
            case 4:
                lines = text.split("\n")
                lines.insert(random.randrange(len(lines)), random.choice(lines))
                text = "\n".join(lines)
    return text


def test_slips_of_the_maker_are_told_or_harmless(english_text: str, full: bool) -> None:
    random = Random(20270213)
    refused = 0
    assert "pronounce:" in english_text
    for _ in range(2000 if full else 150):
        refused += not isinstance(outcome(broken(english_text, random)), Bank)
    assert refused > 30


@given(template=st.text(st.sampled_from('()[]<>|/*+{}"\\;=ab1. \u00e9'), max_size=25))
@settings(
    max_examples=400,
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_any_jumble_is_a_template_or_a_problem(template: str, bank_text: BankText) -> None:
    outcome(bank_text({Kind.LATE: ["late", template]}))


def test_a_bank_that_is_let_through_can_be_audited(
    english_text: str, asked: Situations, full: bool
) -> None:
    """However odd it is: whatever may be said of it is said, or refused in a line."""
    random, audited = Random(14021), 0
    for _ in range(200):
        if audited > 4 and not full:
            break
        bank = outcome(broken(english_text, random))
        if isinstance(bank, Bank):
            for kind, at in ((Kind.NEXT, "14:30"), (Kind.CLOCK_UNSET, None)):
                (row,) = audit(bank, [asked(kind, at)], (), 170, random).situations
                assert row.distinct == bank.count(asked(kind, at))
                audited += 1
    assert audited > 4
