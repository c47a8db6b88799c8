"""In whatever language the figure is asked: every template is true, in its hour and rightly
written, and there is always something new to say."""

import re
import unicodedata
from collections.abc import Callable, Iterator
from datetime import datetime
from functools import cache
from itertools import chain, combinations
from random import Random
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.wording import (
    LANGUAGES,
    Bank,
    Bar,
    Kind,
    Mood,
    Situation,
    choose,
    parse_bank,
)
from showtime.wording.proving import TELLS

Situations = Callable[..., Situation]

TELLING = [kind for kind in Kind if True in TELLS[kind]]
SILENT = [kind for kind in Kind if False in TELLS[kind]]
AHEAD = {Kind.SOON: 2.5, Kind.CALL: 5, Kind.TOMORROW: 17 * 60}
"""Minutes before the start in which such a thing is said; others: 18."""

TO_THE_KEEPER = (
    Kind.UNDERSTOOD,
    Kind.NOT_CAUGHT,
    Kind.REFUSED,
    Kind.AGREED,
    Kind.CLOCK_SET,
    Kind.SURE,
)
NEEDED = {Kind.NEXT: 500} | dict.fromkeys(TO_THE_KEEPER, 30)
AT_LEAST = 200
"""Different sentences, where visitors hear them; the keeper hears a few a day."""

MOST_WORDS = 28
MOST_WORDS_IN = {Kind.REFUSED: 32}
"""It gives the reason, and what is allowed instead."""

EVERY_MOOD = frozenset(Mood)
EVERY_BAR = frozenset(Bar)

SPACED_SIGNS = {"fr": ":;?!"}
"""Signs that a language sets apart from the word before them."""


@pytest.fixture(params=list(LANGUAGES))
def language(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@cache
def bank_of(language: str) -> Bank:
    path = shipped(f"phrasebanks/{language}.yaml")
    return parse_bank(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture
def bank(language: str) -> Bank:
    return bank_of(language)


MOODS = [
    frozenset(mix)
    for mix in chain.from_iterable(combinations(Mood, size) for size in range(len(Mood) + 1))
]
"""Every mix of moods that a situation may have."""


def situations(asked: Situations, step: int) -> Iterator[Situation]:
    """All that can be said, in all moods and for all bars at once; a start each `step` minutes."""
    for kind in SILENT:
        yield asked(kind, moods=EVERY_MOOD, bars=EVERY_BAR)
    for kind in TELLING:
        for minute in range(0, 1440, step):
            at = f"{minute // 60:02}:{minute % 60:02}"
            ahead = AHEAD.get(kind, 18)
            yield asked(kind, at, minutes_before=ahead, moods=EVERY_MOOD, bars=EVERY_BAR)


def test_every_language_has_a_bank_without_idle_rules(language: str, bank: Bank) -> None:
    assert bank.language == language
    assert bank.warnings == ()


def test_every_sentence_tells_the_start_once_or_no_time_at_all(
    bank: Bank, asked: Situations, full: bool
) -> None:
    for situation in situations(asked, 11 if full else 331):
        told_at = situation.at and situation.at.astimezone(situation.signboard.timezone)
        for _, text in bank.samples(situation, 40 if full else 5):
            told = bank.clock.told(text)
            if told_at is None:
                assert not told, text
            else:
                assert len(told) == 1, text
                assert told[0].means(told_at, situation.now), text


@pytest.mark.parametrize("mood", MOODS, ids=lambda mood: "-".join(sorted(mood)) or "plain")
def test_every_situation_speaks_in_every_mood(
    bank: Bank, asked: Situations, mood: frozenset[Mood]
) -> None:
    for kind in Kind:
        for at in ("14:30",) * (kind in TELLING) + (None,) * (kind in SILENT):
            for names in ({}, {"piece": "", "why": ""}):
                ahead = AHEAD.get(kind, 18)
                situation = asked(kind, at, minutes_before=ahead, moods=mood, **names)
                assert choose(bank, situation, [], Random(3)).text
                needed = min(NEEDED.get(kind, AT_LEAST), 100 if names else AT_LEAST)
                assert bank.count(situation) >= needed, situation


def test_there_is_more_to_say_than_anybody_will_hear(
    bank: Bank, asked: Situations, full: bool
) -> None:
    for plain in situations(asked, 17 if full else 613):
        at = plain.at and plain.at.astimezone(plain.signboard.timezone)
        ahead = AHEAD.get(plain.kind, 18)
        situation = asked(plain.kind, at, minutes_before=ahead)
        assert bank.count(situation) >= NEEDED.get(plain.kind, AT_LEAST), situation


def test_every_template_is_reached_in_its_situation(bank: Bank, asked: Situations) -> None:
    for situation in situations(asked, 601):
        reached = {number for number, _ in bank.samples(situation, 1)}
        tells = situation.at is not None
        assert reached == {t.number for t in bank.templates[situation.kind] if t.tells is tells}


def test_every_template_is_chosen_in_a_busy_hour(bank: Bank, asked: Situations) -> None:
    situation = asked(Kind.NEXT, "14:30", moods=EVERY_MOOD)
    said, used, random = list[str](), set[int](), Random(8)
    for _ in range(500):
        sentence = choose(bank, situation, said, random)
        used.add(sentence.template)
        said.append(sentence.text)
    assert used == {template.number for template in bank.templates[Kind.NEXT]}


@pytest.mark.parametrize("mood", list(Mood))
def test_a_mood_is_heard_in_its_hours_and_in_no_others(
    bank: Bank, asked: Situations, mood: Mood
) -> None:
    """About as often as its weights say; here are a hundred visitors in a row."""
    plain = asked(Kind.NEXT, "14:30")
    moody = asked(Kind.NEXT, "14:30", moods=frozenset({mood}))
    usual = {number for number, _ in bank.samples(plain, 1)}
    own = {number for number, _ in bank.samples(moody, 1)} - usual
    assert own
    weights = {each.number: each.weight for each in bank.templates[Kind.NEXT]}
    share = sum(weights[each] for each in own) / sum(weights[each] for each in usual | own)
    said, heard, random = list[str](), list[int](), Random(13)
    for _ in range(100):
        sentence = choose(bank, moody, said, random)
        said.append(sentence.text)
        heard.append(sentence.template)
    told = sum(template in own for template in heard)
    assert 50 * share < told < 150 * share + 3
    assert own & set(heard[:30])


def test_sentences_are_short_and_rightly_written(
    language: str, bank: Bank, asked: Situations, full: bool
) -> None:
    closing = ".,:;?!".translate({ord(sign): None for sign in SPACED_SIGNS.get(language, "")})
    spaced = re.compile(rf"  |\s[{closing}]|[.,:;?!][^\s?!'’\"”»)]|[.,:;][.,:;?!]")
    small = re.compile(r"[.?!] [¿¡«\"“]?\s?[a-zß-öø-ÿ]")
    for situation in situations(asked, 59 if full else 331):
        for _, text in bank.samples(situation, 60 if full else 12):
            assert text == unicodedata.normalize("NFC", text).strip(), text
            assert not spaced.search(text), text
            assert not small.search(text), text
            begins = text.lstrip('¿¡«"“ ')[0]
            assert begins.isupper() or begins == "'" or begins == "’", text
            assert text.rstrip('»"” ')[-1] in ".?!", text
            letters = text.translate({ord(sign): None for sign in " .,:;?!¿¡«»\"“”'’-\u00a0\u202f"})
            assert letters.isalpha(), text
            words = [word for word in text.split() if any(map(str.isalpha, word))]
            assert len(words) <= MOST_WORDS_IN.get(situation.kind, MOST_WORDS), text


def test_what_has_no_words_is_not_missed(bank: Bank, asked: Situations) -> None:
    for kind in TELLING:
        situation = asked(kind, "14:30", piece="", why="", minutes_before=AHEAD.get(kind, 18))
        for _, text in bank.samples(situation, 60):
            assert "Frost Bells" not in text
            assert "slipped" not in text


def test_the_start_of_another_day_is_told_with_its_day(bank: Bank, asked: Situations) -> None:
    for kind in (Kind.TOMORROW, Kind.NOT_OPEN):
        for hours in (18, 45, 3):
            situation = asked(kind, "13:35", minutes_before=60 * hours, date="2027-02-14")
            assert situation.at is not None
            zone = situation.signboard.timezone
            at, now = situation.at.astimezone(zone), situation.now.astimezone(zone)
            names = [name.casefold() for name in bank.clock.days(at, now)]
            for _, text in bank.samples(situation, 60):
                assert any(name in text.casefold() for name in names), text


def test_an_hour_that_comes_twice_is_told_as_the_wall_clock_shows_it(bank: Bank) -> None:
    zone = ZoneInfo("Europe/London")
    signs = Signboard("Fair", "Stall", "Figure", (bank.language,), zone)
    at = datetime(2027, 10, 31, 1, 30, tzinfo=zone, fold=1)
    now = datetime(2027, 10, 31, 1, 28, tzinfo=zone, fold=1)
    for _, text in bank.samples(Situation(Kind.SOON, now, signs, at=at), 30):
        (told,) = bank.clock.told(text)
        assert told.means(at, now), text
