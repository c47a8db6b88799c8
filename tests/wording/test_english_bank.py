"""What the figure says in English: always true, short, and fit to be spoken."""

import re
from collections.abc import Callable, Iterator
from datetime import datetime
from random import Random
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Signboard
from showtime.wording import Bank, Kind, Mood, Situation, choose, times_told

Situations = Callable[..., Situation]

EITHER = [Kind.PLAYING, Kind.NOT_OPEN]
TELLING = [Kind.NEXT, Kind.SOON, Kind.CALL, Kind.CHANGED, Kind.TOMORROW, *EITHER]
SILENT = [Kind.LATE, Kind.NONE_LEFT, Kind.CALLED_OFF, Kind.CLOCK_UNSET, *EITHER]
NEEDED = {Kind.NEXT: 1000}
AT_LEAST = 200
MOST_WORDS = 28


def ahead(kind: Kind) -> float:
    """How many minutes before the start such a thing is said."""
    return {Kind.SOON: 2.5, Kind.CALL: 5, Kind.TOMORROW: 17 * 60}.get(kind, 18)


def situations(asked: Situations, step: int) -> Iterator[Situation]:
    """All that can be asked, with starts at every `step` minutes of the day."""
    for kind in SILENT:
        yield asked(kind, moods=frozenset(Mood))
    for kind in TELLING:
        for minute in range(0, 1440, step):
            at = f"{minute // 60:02}:{minute % 60:02}"
            yield asked(kind, at, minutes_before=ahead(kind), moods=frozenset(Mood))


def test_every_sentence_tells_the_start_once_or_no_time_at_all(
    english: Bank, asked: Situations, full: bool
) -> None:
    for situation in situations(asked, 3 if full else 13):
        for text in english.sentences(situation, 200 if full else 100):
            told = times_told(text, "en")
            if situation.at is None:
                assert not told, text
            else:
                at = situation.at.astimezone(situation.signboard.timezone)
                assert len(told) == 1, text
                assert told[0].means(at, situation.now), text


def test_every_template_is_said_in_its_situation(english: Bank, asked: Situations) -> None:
    for situation in situations(asked, 601):
        said: list[str] = []
        used = set()
        random = Random(8)
        for _ in range(250):
            sentence = choose(english, situation, said, random)
            used.add(sentence.template)
            said.append(sentence.text)
        told = situation.at is not None
        at = situation.at and situation.at.astimezone(situation.signboard.timezone)
        assert used == {t.number for t in english.templates[situation.kind] if t.tells is told}, at


def test_sentences_are_short_plain_and_rightly_written(english: Bank, asked: Situations) -> None:
    for situation in situations(asked, 95):
        for text in english.sentences(situation, 400):
            assert re.fullmatch(r"[A-Z][A-Za-z ,.:!?'-]*[.!?]", text), text
            assert not re.search(r"  |\s[,.:!?]|[,.:!?][,.:!?]|[,.:!?][A-Za-z]", text), text
            assert not re.search(r"[.!?] [a-z]", text), text
            assert not re.search(r"\bi\b", text), text
            assert not re.search(r"\b(?!ten|eleven|twelve)(\w+) \1\b", text), text
            assert len(text.split()) <= MOST_WORDS, text


def test_half_the_sentences_are_of_eight_to_twenty_words(english: Bank, asked: Situations) -> None:
    for kind in (Kind.NEXT, Kind.CHANGED, Kind.TOMORROW):
        situation = asked(kind, "14:30", minutes_before=ahead(kind))
        lengths = [len(text.split()) for text in english.sentences(situation, 1000)]
        assert sum(8 <= length <= 20 for length in lengths) > 0.75 * len(lengths)


def test_there_is_more_to_say_than_anybody_will_hear(
    english: Bank, asked: Situations, full: bool
) -> None:
    for situation in situations(asked, 7 if full else 97):
        assert english.count(situation) >= NEEDED.get(situation.kind, AT_LEAST)


def test_there_is_enough_to_say_without_a_piece_or_a_reason(
    english: Bank, asked: Situations
) -> None:
    for kind in TELLING:
        situation = asked(kind, "14:30", piece="", why="", minutes_before=ahead(kind))
        assert english.count(situation) >= 100
        for text in english.sentences(situation, 200):
            assert "Frost Bells" not in text


def test_a_changed_time_comes_with_an_apology(english: Bank, asked: Situations) -> None:
    sorry = re.compile(r"sorry|apolog|pardon|forgive|regret|my fault|unhappy", re.IGNORECASE)
    for situation in (asked(Kind.CHANGED, "14:30"), asked(Kind.CALLED_OFF)):
        for text in english.sentences(situation, 2000):
            assert sorry.search(text), text


def test_the_start_of_another_day_is_told_with_its_day(english: Bank, asked: Situations) -> None:
    for kind in (Kind.TOMORROW, Kind.NOT_OPEN):
        for hours, day in ((18, "tomorrow"), (45, "on sunday"), (3, "today")):
            situation = asked(kind, "13:35", minutes_before=60 * hours, date="2027-02-14")
            for text in english.sentences(situation, 500):
                assert day in text.lower(), text


def test_an_hour_that_comes_twice_is_told_as_the_wall_clock_shows_it(english: Bank) -> None:
    zone = ZoneInfo("Europe/London")
    signs = Signboard("Fair", "Stall", "Figure", ("en",), zone)
    at = datetime(2027, 10, 31, 1, 30, tzinfo=zone, fold=1)
    now = datetime(2027, 10, 31, 1, 28, tzinfo=zone, fold=1)
    for text in english.sentences(Situation(Kind.SOON, now, signs, at=at), 300):
        (told,) = times_told(text, "en")
        assert told.means(at, now), text


def test_the_bank_has_no_idle_rules(english: Bank) -> None:
    assert english.warnings == ()


@pytest.mark.parametrize("manner", ["british", "american"])
def test_a_bank_may_keep_to_one_manner(english_text: str, asked: Situations, manner: str) -> None:
    from showtime.wording import parse_bank

    text = english_text.replace("clock: [british, american]", f"clock: {manner}")
    bank = parse_bank(text, "en.yaml")
    said = " ".join(bank.sentences(asked(Kind.NEXT, "14:10"), 3000)).lower()
    assert ("ten after two" in said) is (manner == "american")
    assert ("ten past two" in said) is (manner == "british")
