"""PROTOCOL.md, held against what is told and shipped."""

import re
from datetime import date
from importlib import resources

import pytest

from showtime.fairnet.pace import Pace
from showtime.fairnet.strict import LARGEST
from showtime.fairnet.words import VERSION, Topics, safe_word

ROOM = resources.files("showtime.fairnet")


@pytest.fixture
def page():
    return (ROOM / "PROTOCOL.md").read_text("utf-8")


def test_every_schema_stands_in_the_table_of_topics_and_every_topic_has_one(page):
    rows = re.findall(r"^\| `(\S+)` \|.*\| `(\w+\.json)` \|$", page, re.MULTILINE)
    shipped = {file.name for file in (ROOM / "schemas").iterdir()}
    assert {schema for _, schema in rows} == shipped
    for topic, schema in rows:
        parts = topic.split("/")
        assert (parts[2] if len(parts) > 2 else "") == schema.removesuffix(".json")
        assert Topics("Fair", date(2027, 2, 13)).told_by(
            f"showtime/{VERSION}/Fair/2027-02-13/{topic}"
        ) == (parts[0], parts[1], tuple(parts[2:]))


def test_the_numbers_on_the_page_are_those_of_the_program(page):
    pace = Pace()
    assert (pace.beat, pace.own_lease, pace.lease, pace.grace, pace.patience) == (5, 12, 30, 20, 2)
    for words in (
        "every five seconds",
        "twelve seconds",
        "*lease* (30 s)",
        "20 s apart",
        "two seconds",
    ):
        assert words in page
    assert f"{LARGEST:,} bytes" in page


def test_the_words_on_the_page_are_those_that_are_made(page):
    for letter in "+-_":
        assert f"`{letter}`" in page and f"`{safe_word(letter)}`" in page
