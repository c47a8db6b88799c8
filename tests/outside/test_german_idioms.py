"""Every German idiom for every minute is understood by readers that know nothing of ours, its
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

# Duckling's blind spots. It does not join these to one time; chronologia reads the first two.
NIGHT = re.compile(r"zwölf Uhr nachts$")
QUARTERS = re.compile(r"(?:drei)?viertel (?!vor|nach)\w+$")
"""The regional manner."""
NO_UNIT = re.compile(r"(fünf|zehn) (vor|nach) halb ", re.IGNORECASE)
"""Neither joins it without its "Minuten": "fünf vor halb drei" is judged as "fünf Minuten vor halb
drei". (Duckling hears "um fünf" and a stretch of time, chronologia the half hour with words left
over.)"""
LESS = "weniger als ein"
"""Duckling takes less than a minute for a minute."""
THREE_QUARTERS = "Dreiviertelstunde"
"""It has no word for 45 minutes but their number."""
NOT_JOINED = "heute Morgen"
"""It cuts this morning into today and tomorrow."""
LAST_HOUR_OF_THE_NIGHT = 4
"""To CLDR the German night lasts until five, to duckling until four."""
NOT_HALVED = 23
"""It takes "halb zwölf" for an hour before noon, whatever stands beside it."""
UNTIL = " bis "
"""What comes after it is a stretch of time, and no start of one."""


@pytest.fixture(scope="module")
def parsed(duckling_in: Callable[..., Any]) -> Parsed:
    """What duckling finds in a German text, at midnight before the fair, in one dimension."""
    return duckling_in("DE", latent=True)


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
    read = extract_timespan(text, "de", MIDNIGHT.replace(tzinfo=None))
    assert read is not None, text
    assert read.remainder in ("", "um", "es ist"), text
    return (read.span.start.hour, read.span.start.minute)


def judged(parsed: Parsed, said: str) -> Times:
    if NIGHT.search(said) or QUARTERS.search(said):
        return {read_by_chronologia(said)}
    return heard(parsed, NO_UNIT.sub(r"\1 Minuten \2 halb ", said))


def sampled(full: bool) -> Iterator[tuple[int, int]]:
    """Every minute of the day, or each quarter and one in thirteen."""
    for minute in range(1440):
        if full or minute % 15 == 0 or minute % 13 == 0:
            yield divmod(minute, 60)


def phrases(teller: Clock, hour: int, minute: int) -> set[str]:
    return {*teller.idioms(hour, minute), *teller.at(hour, minute), *teller.it_is(hour, minute)}


@pytest.mark.parametrize("manner", ["standard", "regional", "24-hour"])
def test_every_idiom_of_every_minute_is_read_back(parsed: Parsed, manner: str, full: bool) -> None:
    teller = clock("de", (manner,))
    usual = clock("de", ("standard",))
    for hour, minute in sampled(full):
        told = phrases(teller, hour, minute)
        if manner == "regional":
            told -= phrases(usual, hour, minute)
        for said in told:
            assert halves(judged(parsed, said)) == {(hour % 12, minute)}, said


def test_where_the_judge_is_blind_it_hears_no_other_whole_time(parsed: Parsed) -> None:
    """It hears a stretch of time, a lone number, or nothing: never the phrase as another time."""
    teller = clock("de", ("standard", "regional"))
    for minute in range(0, 1440, 5):
        hour, past = divmod(minute, 60)
        for said in teller.at(hour, past):
            if NO_UNIT.search(said) or QUARTERS.search(said):
                for each in parsed(said, "time"):
                    whole = len(each["body"].encode("latin-1")) >= len(said.encode()) - len("um ")
                    assert not whole or "value" not in each["value"]["values"][0], said


def test_no_other_reader_hears_another_time(full: bool) -> None:
    """What chronologia reads to the last word, it reads as the product does."""
    teller = clock("de", clock("de").manners)
    read = 0
    for minute in range(0, 1440, 3 if full else 65):
        hour, past = divmod(minute, 60)
        for said in phrases(teller, hour, past):
            found = extract_timespan(said, "de", MIDNIGHT.replace(tzinfo=None))
            if found is not None and found.remainder in ("", "um", "es ist"):
                start = (found.span.start.hour, found.span.start.minute)
                assert halves({start}) == {(hour % 12, past)}, said
                read += 1
    assert read > 20


def test_hours_of_the_afternoon_are_of_one_half_of_the_day(parsed: Parsed) -> None:
    for hour in range(13, 24):
        for minute in (0, 1, 30):
            (said,) = clock("de", ("24-hour",)).idioms(hour, minute)
            assert heard(parsed, said) == {(hour, minute)}, said
    assert heard(parsed, "Mitternacht") == {(0, 0)}
    assert heard(parsed, "zwölf Uhr mittags") == {(12, 0)}


def test_every_day_period_is_read_in_its_half_of_the_day(parsed: Parsed) -> None:
    teller = clock("de")
    for hour in range(24):
        minute = 10 if hour == NOT_HALVED else 30
        at = MIDNIGHT + timedelta(hours=hour, minutes=minute)
        for now in (MIDNIGHT, MIDNIGHT - timedelta(hours=5)):
            for part in teller.dayparts(at, now):
                said = teller.at(hour, minute)[0]
                text = f"{part} {said}" if now == MIDNIGHT else f"{said} {part}"
                if part != NOT_JOINED and hour != LAST_HOUR_OF_THE_NIGHT:
                    assert heard(parsed, text) == {(hour, minute)}, text


def test_minutes_to_go_are_read_back(parsed: Parsed) -> None:
    for to_go in range(60):
        for said in (*clock("de").minutes(to_go), *clock("de").within(to_go)):
            if THREE_QUARTERS not in said:
                lengths = {
                    each["value"]["normalized"]["value"] for each in parsed(said, "duration")
                }
                assert lengths == {60 if LESS in said else 60 * to_go}, said


def test_whole_sentences_are_read_back(parsed: Parsed, full: bool) -> None:
    bank = parse_bank(shipped("phrasebanks/de.yaml").read_text(encoding="utf-8"), "de.yaml")
    signs = Signboard("Messe", "The Tin Orchard", "Barnaby Rook", ("de",), ZoneInfo("UTC"))
    for hour, minute in ((14, 30), (11, 20), (15, 45)):
        at = MIDNIGHT.replace(hour=hour, minute=minute)
        for kind in (Kind.NEXT, Kind.CHANGED, Kind.PLAYING):
            situation = Situation(kind, MIDNIGHT, signs, at=at, piece="Frost Bells")
            for text in bank.sentences(situation, 400 if full else 30):
                if UNTIL not in text:
                    said = NO_UNIT.sub(r"\1 Minuten \2 halb ", text)
                    assert halves(heard(parsed, said)) == {(hour % 12, minute)}, text


# num2words, a general-purpose library for numbers in words


def test_hours_and_minutes_are_counted_in_the_right_words() -> None:
    by_hours = clock("de", ("24-hour",))
    for hour in range(24):
        spoken = "ein" if hour == 1 else num2words(hour, lang="de")
        for minute in range(1, 60):
            counted = f"{spoken} Uhr {num2words(minute, lang='de')}"
            assert by_hours.idioms(hour, minute) == (counted,)
    for minutes in range(2, 60):
        assert f"{num2words(minutes, lang='de')} Minuten" in clock("de").minutes(minutes)


def test_no_idiom_has_a_word_that_the_numbers_do_not_have() -> None:
    words = {num2words(number, lang="de") for number in range(60)}
    around = {"Uhr", "Mitternacht", "mittags", "nachts", "halb"}
    around |= {"Viertel", "viertel", "dreiviertel"}
    around |= {"vor", "nach", "ein", "eine", "Minute", "Minuten"}
    teller = clock("de", ("standard", "regional", "24-hour"))
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
    teller, locale = clock("de"), Locale.parse("de")
    adverbs = locale.day_periods["format"]["wide"]
    nouns = locale.day_periods["stand-alone"]["wide"]
    for minute in range(1440):
        at = MIDNIGHT + timedelta(minutes=minute)
        name = period(minute, locale)
        named = minute in (0, 720)
        other_day = teller.dayparts(at, MIDNIGHT - timedelta(hours=5))
        assert other_day == (() if named else (adverbs[name],))
        assert teller.dayparts(at, MIDNIGHT) == (() if named else (f"heute {nouns[name]}",))


def test_days_and_months_have_cldr_names() -> None:
    now = MIDNIGHT + timedelta(hours=10)
    for ahead in range(2, 400):
        at = MIDNIGHT + timedelta(days=ahead, hours=14)
        said = clock("de").days(at, now)[0]
        if ahead < 7:
            assert said == f"am {format_date(at, 'EEEE', locale='de')}"
        else:
            ordinal = num2words(at.day, to="ordinal", lang="de")
            month = format_date(at, "MMMM", locale="de")
            assert said == f"am {ordinal}n {month}"
