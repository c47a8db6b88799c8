"""Every Italian idiom for every minute is understood by a reader that knows nothing of ours, its
numbers are those of num2words, its day periods, days and months those of CLDR.

The judge is duckling, a general-purpose parser of times in text (open source, in Haskell), through
pyduckling-native-phihos 0.3.0, which runs it in this process; where it is blind, chronologia
0.31.7a2, a general-purpose library of calendars with a reader of its own (open source, in Python).
CLDR's data are read through Babel.
"""

import re
import warnings
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

# Duckling's blind spots. Chronologia hears the idioms among them, save behind "l'una",
# "mezzogiorno" and "mezzanotte".
DROPPED_VOWEL = re.compile(r"\b(?:vent|trent|quarant|cinquant)(?:uno|otto)\b")
"""It knows no number in which "-i" or "-a" is lost before "uno" and "otto", and stops there: it is
shown that number in figures, made with num2words."""
HALF = re.compile(r"\bmezza\b")
"""It stops before "e mezza" and goes on with "e mezzo", which is said as well: it is shown that."""
LESS = "meno di un minuto"
"""It takes this for a minute."""
# It joins few day periods to the hour behind them, and finds a stretch of time and an hour: the
# hour is then read in that stretch.
BEFORE_SIX = (4, 5)
"""Hours that CLDR, and so the product, counts to the night; duckling's ends at four."""

FIGURES = {num2words(number, lang="it"): str(number) for number in range(60)}
BEHIND = re.compile(r"alle ")


@pytest.fixture(scope="module")
def parsed(duckling_in: Callable[..., Any]) -> Callable[[str, str], list[dict[str, Any]]]:
    """What duckling finds in an Italian text, at midnight before the fair, in one dimension."""
    return duckling_in("IT", latent=False)


@pytest.fixture(scope="module")
def judge(parsed: Callable[[str, str], list[dict[str, Any]]]) -> Judge:
    """The wall-clock times of duckling's longest finding; a stretch of time counts as (-1, -1)."""

    def heard(text: str) -> set[tuple[int, int]]:
        every = parsed(shown(text), "time")
        found = [each for each in every if each["value"].get("grain") != "second"]  # "now"
        longest = max((len(each["body"]) for each in found), default=0)
        times = set()
        for each in found:
            for value in each["value"]["values"] if len(each["body"]) == longest else ():
                moment = datetime.fromisoformat(value["value"]) if "value" in value else None
                times.add((moment.hour, moment.minute) if moment else (-1, -1))
        return times

    return heard


def shown(text: str) -> str:
    """The text as the judge can read it."""
    figured = DROPPED_VOWEL.sub(lambda match: FIGURES[match[0]], text)
    return HALF.sub("mezzo", figured)


def halves(times: set[tuple[int, int]]) -> set[tuple[int, int]]:
    return {(hour % 12 if hour >= 0 else hour, minute) for hour, minute in times}


def sampled(full: bool) -> Iterator[tuple[int, int]]:
    """Every minute of the day, or each quarter and one in seven."""
    for minute in range(1440):
        if full or minute % 15 == 0 or minute % 7 == 0:
            yield divmod(minute, 60)


def phrases(teller: Clock, hour: int, minute: int) -> set[str]:
    return {*teller.idioms(hour, minute), *teller.at(hour, minute), *teller.it_is(hour, minute)}


@pytest.mark.parametrize("manner", ["corrente", "ufficiale", "regionale"])
def test_every_idiom_of_every_minute_is_read_back(judge: Judge, manner: str, full: bool) -> None:
    teller = clock("it", (manner,))
    for hour, minute in sampled(full):
        for said in phrases(teller, hour, minute):
            assert halves(judge(said)) == {(hour % 12, minute)}, said


def test_what_the_judge_is_blind_to_is_read_by_the_second_reader(full: bool) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from chronologia import extract_timespan

    teller, read = clock("it", ("corrente", "ufficiale")), 0
    for hour, minute in sampled(full):
        if minute < 2 or (not full and hour not in (14, 21)):
            continue
        for said in teller.at(hour, minute):
            if shown(said) != said and BEHIND.match(said):
                found = extract_timespan(said, "it", MIDNIGHT.replace(tzinfo=None))
                assert found, said
                start = found[0].start_datetime
                assert (start.hour % 12, start.minute) == (hour % 12, minute), said
                read += 1
    assert read > 10


def test_afternoon_hours_of_the_timetable_noon_and_midnight_are_of_one_half_of_the_day(
    judge: Judge,
) -> None:
    for hour in (0, *range(12, 24)):
        for minute in (0, 1, 30):
            for said in clock("it", ("ufficiale",)).idioms(hour, minute):
                assert judge(said) == {(hour, minute)}, said
    for said, time in (("mezzogiorno e mezzo", (12, 30)), ("mezzanotte meno un quarto", (23, 45))):
        assert said in clock("it").idioms(*time)
        assert judge(said) == {time}


def test_every_day_period_settles_the_half_of_the_day(
    parsed: Callable[[str, str], list[dict[str, Any]]],
) -> None:
    teller = clock("it")
    for hour in range(24):
        at = MIDNIGHT + timedelta(hours=hour, minutes=20)
        today, before = MIDNIGHT + timedelta(hours=10), MIDNIGHT - timedelta(hours=10)
        for part in (*teller.dayparts(at, today), *teller.days(at, before)[1:]):
            text = shown(f"{part} {teller.at(hour, 20)[0]}")
            if hour not in BEFORE_SIX:
                assert meant(parsed(text, "time")) == {hour}, (text, parsed(text, "time"))


def meant(found: list[dict[str, Any]]) -> set[int]:
    """The hours that all of the findings allow."""
    allowed, stretches = set(range(24)), any("from" in each["value"]["values"][0] for each in found)
    for each in found:
        value = each["value"]["values"][0]
        if "value" in value and value["grain"] == "day":
            continue
        if "value" in value:
            hour = datetime.fromisoformat(value["value"]).hour
            allowed &= {hour, (hour + 12) % 24} if stretches else {hour}
        else:
            first, end = (datetime.fromisoformat(value[side]["value"]) for side in ("from", "to"))
            allowed &= {
                h % 24 for h in range(first.hour, first.hour + (end - first).seconds // 3600)
            }
    return allowed


def test_minutes_to_go_are_read_back(parsed: Callable[[str, str], list[dict[str, Any]]]) -> None:
    for to_go in range(60):
        for said in (*clock("it").minutes(to_go), *clock("it").within(to_go)):
            found = parsed(shown(said), "duration")
            lengths = [each["value"]["normalized"]["value"] for each in found]
            assert lengths == ([60] if LESS in said else [60 * to_go]), said


def test_whole_sentences_are_read_back(judge: Judge, full: bool) -> None:
    bank = parse_bank(shipped("phrasebanks/it.yaml").read_text(encoding="utf-8"), "it.yaml")
    signs = Signboard("Fiera", "The Tin Orchard", "Barnaby Rook", ("it",), ZoneInfo("UTC"))
    for hour, minute in ((14, 30), (11, 20), (15, 40)):
        at = MIDNIGHT.replace(hour=hour, minute=minute)
        for kind in (Kind.NEXT, Kind.CHANGED, Kind.PLAYING):
            situation = Situation(kind, MIDNIGHT, signs, at=at, piece="Frost Bells")
            for text in bank.sentences(situation, 200 if full else 30):
                assert halves(judge(text)) == {(hour % 12, minute)}, text


# num2words, a general-purpose library for numbers in words


def test_hours_and_minutes_are_counted_in_the_right_words() -> None:
    by_timetable = clock("it", ("ufficiale",))
    for hour in range(24):
        named = "l'una" if hour == 1 else f"le {num2words(hour, lang='it')}"
        for minute in range(2, 60):
            counted = f"{named} e {num2words(minute, lang='it')}"
            unit = " minuti" if hour == 20 and minute < 5 else ""  # "le venti e due": 22:00?
            assert by_timetable.idioms(hour, minute) == (counted + unit,)
        assert by_timetable.idioms(hour, 1) == (f"{named} e un minuto",)
    for minutes in range(2, 60):
        assert f"{num2words(minutes, lang='it')} minuti" in clock("it").minutes(minutes)


def test_no_idiom_has_a_word_that_the_numbers_do_not_have() -> None:
    words = {num2words(number, lang="it") for number in range(60)}
    around = {"le", "l", "una", "un", "minuto", "minuti", "mezzogiorno", "mezzanotte", "e", "meno"}
    around |= {"quarto", "quarti", "mezza", "mezzo"}
    for manner in clock("it").manners:
        for minute in range(1440):
            for idiom in clock("it", (manner,)).idioms(*divmod(minute, 60)):
                assert set(re.split("[ ']", idiom)) <= words | around, idiom


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
    teller, locale = clock("it"), Locale.parse("it")
    names = locale.day_periods["stand-alone"]["abbreviated"]
    for minute in range(1440):
        at = MIDNIGHT + timedelta(minutes=minute)
        name = names[period(minute, locale)]
        today = teller.dayparts(at, MIDNIGHT + timedelta(hours=10))
        tomorrow = teller.days(at, MIDNIGHT - timedelta(hours=10))
        if at.hour in (0, 12):
            assert (today, tomorrow) == ((), ("domani",))
        else:
            assert len(today) == 2
            assert all(re.fullmatch(rf"(quest[ao] |oggi |sta){name}", part) for part in today)
            assert tomorrow == ("domani", f"domani {name}")[: 1 if name == "notte" else 2]


def test_days_and_months_have_cldr_names() -> None:
    now = MIDNIGHT + timedelta(hours=10)
    for ahead in range(1, 400):
        at = MIDNIGHT + timedelta(days=ahead, hours=14)
        said = clock("it").days(at, now)[0]
        if ahead < 7:
            assert said == ("domani" if ahead == 1 else format_date(at, "EEEE", locale="it"))
            continue
        number = "primo" if at.day == 1 else num2words(at.day, lang="it")
        article = "l'" if at.day in (8, 11) else "il "
        assert said == f"{article}{number} {format_date(at, 'MMMM', locale='it')}"
