"""Every Dutch idiom for every minute is understood by readers that know nothing of ours, its
numbers are those of num2words, its day periods, days and months those of CLDR.

The judge is duckling, a general-purpose parser of times in text (open source, in Haskell), through
pyduckling-native-phihos 0.3.0, which runs it in this process; where it is blind, chronologia
0.31.7a2, a general-purpose library of calendars that reads times in text. CLDR's data are read
through Babel.
"""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from babel import Locale
from babel.dates import format_date
from chronologia import extract_timespan
from num2words import num2words

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.wording import Clock, Kind, Situation, clock, parse_bank

MIDNIGHT = datetime(2027, 2, 13, tzinfo=UTC)
Times = set[tuple[int, int]]
Parsed = Callable[[str, str], list[dict[str, Any]]]

# Duckling's blind spots.
NIGHT = re.compile(r"twaalf uur 's nachts$")
"""It does not join these to one time; chronologia does."""
QUARTER_AFTER = re.compile(r"\bkwart na ")
"""Neither has the Flemish quarter; the quarter is judged by its number of minutes."""
AFTER_OM = re.compile(r"\bom (\w+ (?:voor|na|over) )", re.IGNORECASE)
"""It hears "om vijf" and the rest as a stretch of time: such a time is judged without its "om"."""
LESS = "minder dan een"
"""It takes less than a minute for a minute."""
NOT_JOINED = ("vannacht", "vanochtend")
"""It leaves these out of the time beside them."""
NOT_HALVED = 23
"""It takes "half twaalf" for an hour before noon, whatever stands beside it."""
UNTIL = " tot "
"""What comes after it is a stretch of time, and no start of one."""


@pytest.fixture(scope="module")
def parsed(duckling_in: Callable[..., Any]) -> Parsed:
    """What duckling finds in a Dutch text, at midnight before the fair, in one dimension."""
    return duckling_in("NL", latent=True)


def heard(parsed: Parsed, text: str) -> Times:
    """The wall-clock times of duckling's longest finding; a stretch of time counts as (-1, -1)."""
    found = parsed(text, "time")
    longest = max((len(each["body"]) for each in found), default=0)
    times = set()
    for each in found:
        for value in each["value"]["values"] if len(each["body"]) == longest else ():
            moment = datetime.fromisoformat(value["value"]) if "value" in value else None
            times.add((moment.hour, moment.minute) if moment else (-1, -1))
    return times


def halves(times: Times) -> Times:
    return {(hour % 12 if hour >= 0 else hour, minute) for hour, minute in times}


def read_by_chronologia(text: str) -> tuple[int, int]:
    read = extract_timespan(text, "nl", MIDNIGHT.replace(tzinfo=None))
    assert read is not None, text
    assert read.remainder in ("", "om", "het is"), text
    return (read.span.start.hour, read.span.start.minute)


def judged(parsed: Parsed, said: str) -> Times:
    if NIGHT.search(said):
        return {read_by_chronologia(said)}
    return heard(parsed, QUARTER_AFTER.sub("vijftien na ", AFTER_OM.sub(r"\1", said)))


def sampled(full: bool) -> Iterator[tuple[int, int]]:
    """Every minute of the day, or each quarter and one in thirteen."""
    for minute in range(1440):
        if full or minute % 15 == 0 or minute % 13 == 0:
            yield divmod(minute, 60)


def phrases(teller: Clock, hour: int, minute: int) -> set[str]:
    return {*teller.idioms(hour, minute), *teller.at(hour, minute), *teller.it_is(hour, minute)}


@pytest.mark.parametrize("manner", ["standard", "flemish", "24-hour"])
def test_every_idiom_of_every_minute_is_read_back(parsed: Parsed, manner: str, full: bool) -> None:
    teller = clock("nl", (manner,))
    usual = clock("nl", ("standard",))
    for hour, minute in sampled(full):
        told = phrases(teller, hour, minute)
        if manner == "flemish":
            told -= phrases(usual, hour, minute)
        for said in told:
            assert halves(judged(parsed, said)) == {(hour % 12, minute)}, said


def test_no_other_reader_hears_another_time(full: bool) -> None:
    """What chronologia reads to the last word, it reads as the product does."""
    teller = clock("nl", clock("nl").manners)
    read = 0
    for minute in range(0, 1440, 3 if full else 65):
        hour, past = divmod(minute, 60)
        for said in phrases(teller, hour, past):
            found = extract_timespan(said, "nl", MIDNIGHT.replace(tzinfo=None))
            if found is not None and found.remainder in ("", "om", "het is"):
                start = (found.span.start.hour, found.span.start.minute)
                assert halves({start}) == {(hour % 12, past)}, said
                read += 1
    assert read > 20


def test_hours_of_the_afternoon_are_of_one_half_of_the_day(parsed: Parsed) -> None:
    for hour in range(13, 24):
        for minute in (0, 1, 30):
            (said,) = clock("nl", ("24-hour",)).idioms(hour, minute)
            assert heard(parsed, said) == {(hour, minute)}, said
    assert heard(parsed, "middernacht") == {(0, 0)}
    assert heard(parsed, "twaalf uur 's middags") == {(12, 0)}


def test_every_day_period_is_read_in_its_half_of_the_day(parsed: Parsed) -> None:
    teller = clock("nl")
    for hour in range(24):
        minute = 10 if hour == NOT_HALVED else 30
        at = MIDNIGHT + timedelta(hours=hour, minutes=minute)
        for now in (MIDNIGHT, MIDNIGHT - timedelta(hours=5)):
            for part in teller.dayparts(at, now):
                text = f"{teller.at(hour, minute)[0]} {part}"
                if part not in NOT_JOINED:
                    assert heard(parsed, text) == {(hour, minute)}, text


def test_minutes_to_go_are_read_back(parsed: Parsed) -> None:
    for to_go in range(60):
        for said in clock("nl").minutes(to_go):
            lengths = {each["value"]["normalized"]["value"] for each in parsed(said, "duration")}
            assert lengths == {60 if LESS in said else 60 * to_go}, said


def test_whole_sentences_are_read_back(parsed: Parsed, full: bool) -> None:
    bank = parse_bank(shipped("phrasebanks/nl.yaml").read_text(encoding="utf-8"), "nl.yaml")
    signs = Signboard("Markt", "The Tin Orchard", "Barnaby Rook", ("nl",), ZoneInfo("UTC"))
    for hour, minute in ((14, 30), (11, 20), (15, 45)):
        at = MIDNIGHT.replace(hour=hour, minute=minute)
        for kind in (Kind.NEXT, Kind.CHANGED, Kind.PLAYING):
            situation = Situation(kind, MIDNIGHT, signs, at=at, piece="Frost Bells")
            for text in bank.sentences(situation, 400 if full else 30):
                if UNTIL not in text:
                    said = AFTER_OM.sub(r"\1", text)
                    assert halves(heard(parsed, said)) == {(hour % 12, minute)}, text


# num2words, a general-purpose library for numbers in words


def test_hours_and_minutes_are_counted_in_the_right_words() -> None:
    by_hours = clock("nl", ("24-hour",))
    for hour in range(24):
        for minute in range(1, 60):
            counted = f"{num2words(hour, lang='nl')} uur {num2words(minute, lang='nl')}"
            assert by_hours.idioms(hour, minute) == (counted,)
    for minutes in range(2, 60):
        assert f"{num2words(minutes, lang='nl')} minuten" in clock("nl").minutes(minutes)


def test_no_idiom_has_a_word_that_the_numbers_do_not_have() -> None:
    words = {num2words(number, lang="nl") for number in range(60)}
    around = {"uur", "middernacht", "'s", "middags", "nachts", "half", "kwart"}
    around |= {"voor", "over", "na", "minuut", "minuten"}
    teller = clock("nl", ("standard", "flemish", "24-hour"))
    for minute in range(1440):
        for idiom in teller.idioms(*divmod(minute, 60)):
            assert set(idiom.split()) <= words | around, idiom


# CLDR


def period(minute: int, locale: Locale) -> str:
    """The name of the CLDR day period in which that minute of the day lies."""
    for name, spans in locale.day_period_rules[None].items():
        for span in spans:
            if span.get("from", 86_400) <= minute * 60 < span.get("before", 0):
                return str(name)
    raise AssertionError(minute)


def test_every_minute_of_the_day_is_in_the_period_that_cldr_puts_it_in() -> None:
    """Save noon, which the time names itself, and midnight."""
    teller, locale = clock("nl"), Locale.parse("nl")
    adverbs = locale.day_periods["format"]["abbreviated"]
    nouns = locale.day_periods["stand-alone"]["abbreviated"]
    for minute in range(1440):
        at = MIDNIGHT + timedelta(minutes=minute)
        name = period(minute, locale)
        named = minute in (0, 720)
        other_day = teller.dayparts(at, MIDNIGHT - timedelta(hours=5))
        assert other_day == (() if named else (adverbs[name].replace("’", "'"),))
        assert teller.dayparts(at, MIDNIGHT) == (() if named else (f"van{nouns[name]}",))


def test_days_and_months_have_cldr_names() -> None:
    now = MIDNIGHT + timedelta(hours=10)
    for ahead in range(2, 400):
        at = MIDNIGHT + timedelta(days=ahead, hours=14)
        said = clock("nl").days(at, now)[0]
        if ahead < 7:
            assert said == f"op {format_date(at, 'EEEE', locale='nl')}"
        else:
            month = format_date(at, "MMMM", locale="nl")
            assert said == f"op {num2words(at.day, lang='nl')} {month}"
