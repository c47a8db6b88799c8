"""A language is one YAML file and one small class, as DEVELOPERS.md shows it on Welsh."""

import re
from pathlib import Path
from textwrap import dedent, indent

import pytest

from showtime.wording import clock

FILES = {
    "def idioms": ("showtime/wording/languages/welsh.py", "    "),
    '"cy": ': ("showtime/wording/languages/__init__.py", "    "),
    '- "': ("phrasebanks/cy.yaml", "    "),
}
"""How each excerpt begins, the file it stands in, and how far it is indented there."""


@pytest.fixture(scope="module")
def example(top: Path) -> str:
    text = (top / "DEVELOPERS.md").read_text("utf-8")
    return text[text.index("**A language.**") : text.index("**A face.**")]


def excerpts(example: str) -> list[str]:
    blocks = re.findall(r"^ +```(?:python|yaml)\n(.*?)^ +```$", example, re.M | re.S)
    return [dedent(block) for block in blocks]


def test_every_excerpt_stands_in_the_code_word_for_word(example: str, top: Path) -> None:
    shown = excerpts(example)
    assert len(shown) == len(FILES)
    for begins, (file, margin) in FILES.items():
        (excerpt,) = (each for each in shown if each.startswith(begins))
        assert indent(excerpt, margin) in (top / file).read_text("utf-8"), file


def test_every_file_that_it_names_is_there(example: str, top: Path) -> None:
    named = re.findall(r"`((?:wording|phrasebanks|tests)/[\w/.]+)`", example)
    assert len(named) >= 6
    for name in named:
        assert (top / name).is_file() or (top / "showtime" / name).is_file(), name


def test_it_says_what_the_class_must_have(example: str) -> None:
    offered = {name for name in dir(clock("cy")) if not name.startswith("_")}
    named = {*re.findall(r"`(\w+)`", example), *re.findall(r"def (\w+)", example)}
    assert offered - {"language"} <= named


def test_its_steps_make_a_language_that_tells_and_hears(example: str) -> None:
    assert clock("cy").at(14, 30) == ("am hanner awr wedi dau",)
    (told,) = clock("cy").told("Dewch yn ôl am hanner awr wedi dau.")
    assert told.minutes == 2 * 60 + 30


def test_nothing_else_that_speaks_or_hears_knows_of_it(top: Path) -> None:
    """The audit may know its letters; without that it takes those of all Latin script. Pages and
    paper may have labels in it; without those theirs are English."""
    knowing = {
        path.relative_to(top).as_posix()
        for path in (top / "showtime").rglob("*.py")
        if re.search(r"\bwelsh\b|[\"']cy[\"']", path.read_text("utf-8"), re.IGNORECASE)
    }
    room = "showtime/wording"
    labels = {"showtime/faces/pages/labels.py", "showtime/faces/paper/labels.py"}
    assert knowing - labels - {f"{room}/variety/pronouncing.py"} == {
        f"{room}/languages/__init__.py",
        f"{room}/languages/welsh.py",
        f"{room}/languages/welsh_reader.py",
    }
