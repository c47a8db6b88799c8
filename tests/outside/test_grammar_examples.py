"""Templates mean what the JSpeech Grammar Format says.

Source: JSpeech Grammar Format, W3C Note, 5 June 2000; its examples are quoted from memory, without
the Kleene star, which is refused here because sentences are counted. The second judge is the JSGF
parser of pocketsphinx, a general-purpose speech recogniser: it must accept the very same rows of
words.
"""

from collections.abc import Iterator
from datetime import datetime
from itertools import product
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

import pytest
from pocketsphinx import FsgModel, Jsgf, LogMath

from showtime.fair import Signboard
from showtime.settings import SettingsError
from showtime.wording import Kind, Situation, parse_bank

ZONE = ZoneInfo("Europe/London")
LATE = Situation(
    Kind.LATE, datetime(2027, 2, 13, 14, tzinfo=ZONE), Signboard("a", "b", "c", ("en",), ZONE)
)
REST = """
  next: [at <time>]
  soon: [at <time>]
  call: [at <time>]
  playing: [at <time>, now]
  changed: [at <time>]
  none_left: [none]
  tomorrow: [at <time>]
  not_open: [at <time>, none]
  called_off: [none]
  clock_unset: [none]
  understood: [at <time>]
  not_caught: [none]
  refused: [at <time>, none]
  agreed: [at <time>]
  clock_set: [at <time>]
  sure: [at <time>]
"""


def said(rules: dict[str, str], start: str) -> list[tuple[str, ...]]:
    """Every row of words of the rule `start`; its sentences without their capitals."""
    lines = [f"  {name}: {quoted(text)}" for name, text in rules.items()]
    bank = "language: en\nrules:\n" + "\n".join(lines) + f"\nsituations:\n  late: [<{start}>]{REST}"
    sentences = list(parse_bank(bank, "bank.yaml").sentences(LATE, 10**6))
    assert len(sentences) == parse_bank(bank, "bank.yaml").count(LATE)
    return [tuple(sentence.lower().split()) for sentence in sentences]


def quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def second_judge(rules: dict[str, str], start: str, folder: Path) -> FsgModel:
    grammar = folder / "grammar.jsgf"
    lines = [f"public <{name}> = {text};" for name, text in rules.items()]
    grammar.write_text("#JSGF V1.0;\ngrammar note;\n" + "\n".join(lines) + "\n", encoding="utf-8")
    parsed = Jsgf(str(grammar))
    return parsed.build_fsg(parsed.get_rule(f"note.{start}"), LogMath(1.0001), 1.0)


NOTE = {
    "size": "/10/ small | /2/ medium | /1/ large",
    "color": "/0.5/ red | /0.1/ navy blue | /0.2/ sea green",
    "action": "please (/20/ save files | /1/ delete all files)",
    "place": "/20/ <city> | /5/ <country>",
    "city": "boston | new york | madrid",
    "country": "australia {oz} | (united states) {usa} | america {usa} | (u s of a) {usa}",
    "nothing": "open <NULL> the <VOID> | close <NULL> the window",
    "order": "a b | c [d | e f] g",
    "crash": "[please | kindly] don't crash",
    "basic": "<start> <command> <end>",
    "command": "<act> <object>",
    "act": "/10/ open | /2/ close | /1/ delete | /1/ move",
    "object": "[the | a] (window | file | menu)",
    "start": "[please | kindly | could you | oh mighty computer]",
    "end": "[ please | thanks | thank you ]",
}

NUMBERS = {
    "size": 3,
    "color": 3,
    "action": 2,
    "place": 7,
    "country": 4,
    "nothing": 1,
    "order": 4,
    "crash": 3,
    "object": 9,
    "command": 36,
    "basic": 5 * 36 * 4,
}


def needed(start: str) -> dict[str, str]:
    """The rule and all that it refers to; a bank warns of the others."""
    found = {start: NOTE[start]}
    for name in NOTE:
        if any(f"<{name}>" in text for text in found.values()):
            found |= needed(name)
    return found


@pytest.mark.parametrize("start", NUMBERS)
def test_the_examples_of_the_note_say_what_they_say_there(start: str, tmp_path: Path) -> None:
    rows = said(needed(start), start)
    assert len(set(rows)) == len(rows) == NUMBERS[start]
    judge = second_judge(needed(start), start, tmp_path)
    assert all(judge.accept(" ".join(row)) for row in rows)


@pytest.mark.parametrize("text", ["(please | kindly)*", "[a] b+", "()", "[]", "a | ", "(a", "a]"])
def test_what_the_note_forbids_or_cannot_be_counted_is_refused(text: str) -> None:
    with pytest.raises(SettingsError):
        said({"rule": text}, "rule")


WORDS = ("a", "b", "c")
LONGEST = 5


def random_expansion(random: Random, depth: int) -> str:
    """An expansion of at most `LONGEST` words at depth 0, written with brackets of every sort."""
    if depth == 2 or random.random() < 0.2:
        return random.choice(WORDS)
    parts = [random_expansion(random, depth + 1) for _ in range(random.choice((1, 2, 2, 3)))]
    if random.random() < 0.5:
        text = " ".join(parts[:2])
    else:
        weighted = random.random() < 0.3
        text = " | ".join(f"/{random.randint(1, 9)}/ {p}" if weighted else p for p in parts)
    return f"({text})" if random.random() < 0.6 else f"[{text}]"


def grammars(number: int) -> Iterator[dict[str, str]]:
    random = Random(20000605)
    for _ in range(number):
        rules = {"inner": random_expansion(random, 1)}
        yield rules | {"outer": f"a {random_expansion(random, 0)} [<inner>]"}


def test_another_parser_of_the_format_accepts_the_very_same_sentences(
    tmp_path: Path, full: bool
) -> None:
    rows = [row for length in range(1, LONGEST + 1) for row in product(WORDS, repeat=length)]
    compared = 0
    for rules in grammars(3000 if full else 400):
        ours = set(said(rules, "outer"))
        judge = second_judge(rules, "outer", tmp_path)
        for row in rows:
            assert (row in ours) == judge.accept(" ".join(row)), (rules, row)
            compared += row in ours
    assert compared > 1500
