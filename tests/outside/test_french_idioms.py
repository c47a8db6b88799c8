"""Every French idiom for every minute is understood by a reader that knows nothing of ours, its
numbers are those of num2words, its day periods, days and months those of CLDR.

The judge is duckling, a general-purpose parser of times in text (open source, in Haskell), through
pyduckling-native-phihos 0.3.0, which runs it in this process. CLDR's data are read through Babel.
"""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from babel import Locale
from babel.dates import format_date
from num2words import num2words

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.wording import Clock, Kind, Situation, clock, parse_bank

MIDNIGHT = datetime(2027, 2, 13, tzinfo=UTC)
Judge = Callable[[str], set[tuple[int, int]]]

# Duckling's blind spots. Idioms, "à" and "il est": none.
LESS = "moins d'une minute"
"""It takes this for a minute."""
BEFORE_FOUR = range(4)
"""Hours that CLDR, and so the product, calls "matin" as well; to duckling the morning begins at
four, and it does not join the two."""


@pytest.fixture(scope="module")
def parsed(duckling_in: Callable[..., Any]) -> Callable[[str, str], list[dict[str, Any]]]:
    """What duckling finds in a French text, at midnight before the fair, in one dimension."""
    return duckling_in("FR", latent=False)


@pytest.fixture(scope="module")
def judge(parsed: Callable[[str, str], list[dict[str, Any]]]) -> Judge:
    """The wall-clock times of duckling's longest finding; a stretch of time counts as (-1, -1)."""

    def heard(text: str) -> set[tuple[int, int]]:
        found = parsed(text, "time")
        longest = max((len(each["body"]) for each in found), default=0)
        times = set()
        for each in found:
            for value in each["value"]["values"] if len(each["body"]) == longest else ():
                moment = datetime.fromisoformat(value["value"]) if "value" in value else None
                times.add((moment.hour, moment.minute) if moment else (-1, -1))
        return times

    return heard


def halves(times: set[tuple[int, int]]) -> set[tuple[int, int]]:
    return {(hour % 12 if hour >= 0 else hour, minute) for hour, minute in times}


def sampled(full: bool) -> Iterator[tuple[int, int]]:
    """Every minute of the day, or each quarter and one in seven."""
    for minute in range(1440):
        if full or minute % 15 == 0 or minute % 7 == 0:
            yield divmod(minute, 60)


def phrases(teller: Clock, hour: int, minute: int) -> set[str]:
    return {*teller.idioms(hour, minute), *teller.at(hour, minute), *teller.it_is(hour, minute)}


@pytest.mark.parametrize("manner", ["courant", "officiel"])
def test_every_idiom_of_every_minute_is_read_back(judge: Judge, manner: str, full: bool) -> None:
    teller = clock("fr", (manner,))
    for hour, minute in sampled(full):
        for said in phrases(teller, hour, minute):
            assert halves(judge(said)) == {(hour % 12, minute)}, said


def test_afternoon_hours_of_the_timetable_noon_and_midnight_are_of_one_half_of_the_day(
    judge: Judge,
) -> None:
    for hour in (0, *range(12, 24)):
        for minute in (0, 1, 30):
            for said in clock("fr", ("officiel",)).idioms(hour, minute):
                if not said.startswith("zéro"):  # which duckling hears in both halves
                    assert judge(said) == {(hour, minute)}, said
    for said, time in (("midi et demi", (12, 30)), ("minuit moins le quart", (23, 45))):
        assert said in clock("fr").idioms(*time)
        assert judge(said) == {time}


def test_every_day_period_is_read_in_its_half_of_the_day(judge: Judge) -> None:
    teller = clock("fr")
    for hour in range(24):
        at = MIDNIGHT + timedelta(hours=hour, minutes=20)
        today, before = MIDNIGHT + timedelta(hours=10), MIDNIGHT - timedelta(hours=10)
        for part in (*teller.dayparts(at, today), *teller.days(at, before)[1:]):
            for said in teller.at(hour, 20) if hour not in BEFORE_FOUR else ():
                assert judge(f"{part} {said}") == {(hour, 20)}, (part, said)


def test_minutes_to_go_are_read_back(parsed: Callable[[str, str], list[dict[str, Any]]]) -> None:
    for to_go in range(60):
        for said in (*clock("fr").minutes(to_go), *clock("fr").within(to_go)):
            lengths = [each["value"]["normalized"]["value"] for each in parsed(said, "duration")]
            assert lengths == ([60] if LESS in said else [60 * to_go]), said


def test_whole_sentences_are_read_back(judge: Judge, full: bool) -> None:
    bank = parse_bank(shipped("phrasebanks/fr.yaml").read_text(encoding="utf-8"), "fr.yaml")
    signs = Signboard("Foire", "The Tin Orchard", "Barnaby Rook", ("fr",), ZoneInfo("UTC"))
    for hour, minute in ((14, 30), (11, 20), (15, 40)):
        at = MIDNIGHT.replace(hour=hour, minute=minute)
        for kind in (Kind.NEXT, Kind.CHANGED, Kind.PLAYING):
            situation = Situation(kind, MIDNIGHT, signs, at=at, piece="Frost Bells")
            for text in bank.sentences(situation, 200 if full else 30):
                assert halves(judge(text)) == {(hour % 12, minute)}, text


# num2words, a general-purpose library for numbers in words


def feminine(number: int) -> str:
    """As hours and minutes are counted; num2words has the masculine only."""
    return re.sub(r"\bun$", "une", str(num2words(number, lang="fr")))


def test_hours_and_minutes_are_counted_in_the_right_words() -> None:
    by_timetable = clock("fr", ("officiel",))
    for hour in range(24):
        unit = "heure" if hour < 2 else "heures"
        named = "midi" if hour == 12 else f"{feminine(hour)} {unit}"
        for minute in range(1, 60):
            counted = f"{named} {feminine(minute)}"
            assert by_timetable.idioms(hour, minute) == (counted,)
    for minutes in range(2, 60):
        assert f"{feminine(minutes)} minutes" in clock("fr").minutes(minutes)


def test_no_idiom_has_a_word_that_the_numbers_do_not_have() -> None:
    words = {word for number in range(60) for word in re.split("[ -]", feminine(number))}
    around = {"heure", "heures", "midi", "minuit", "et", "moins", "le", "quart", "demi", "demie"}
    for minute in range(1440):
        for idiom in clock("fr").idioms(*divmod(minute, 60)):
            assert set(re.split("[ -]", idiom)) <= words | around | {"minute"}, idiom


# CLDR


def period(minute: int, locale: Locale) -> str:
    """The name of the CLDR day period in which that minute of the day lies."""
    rules = locale.day_period_rules["selection"]
    for name, spans in rules.items():
        for span in spans:
            if span["from"] <= minute * 60 < span["before"]:
                return str(name)
    raise AssertionError(minute)


def test_every_minute_of_the_day_is_in_the_period_that_cldr_puts_it_in() -> None:
    """Save the hours of noon and of midnight, which name themselves."""
    teller, locale = clock("fr"), Locale.parse("fr")
    wide = locale.day_periods["format"]["wide"]
    for minute in range(1440):
        at = MIDNIGHT + timedelta(minutes=minute)
        today = teller.dayparts(at, MIDNIGHT + timedelta(hours=10))
        tomorrow = teller.days(at, MIDNIGHT - timedelta(hours=10))
        if at.hour in (0, 12):
            assert (today, tomorrow) == ((), ("demain",))
        else:
            name = wide[period(minute, locale)].replace("’", "'")
            name = name.removeprefix("du ").removeprefix("de l'")
            assert tomorrow == ("demain", f"demain {name}")
            assert today[0].removeprefix("ce ").removeprefix("cet ") == name


def test_days_and_months_have_cldr_names() -> None:
    now = MIDNIGHT + timedelta(hours=10)
    for ahead in range(1, 400):
        at = MIDNIGHT + timedelta(days=ahead, hours=14)
        said = clock("fr").days(at, now)[0]
        if ahead < 7:
            assert said == ("demain" if ahead == 1 else format_date(at, "EEEE", locale="fr"))
            continue
        number = "premier" if at.day == 1 else num2words(at.day, lang="fr")
        assert said == f"le {number} {format_date(at, 'MMMM', locale='fr')}"
