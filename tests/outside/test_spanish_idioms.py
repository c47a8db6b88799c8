"""Every Spanish idiom for every minute is understood by readers that know nothing of ours, its
numbers are those of num2words, its day periods, days and months those of CLDR.

The judge is duckling, a general-purpose parser of times in text (open source, in Haskell), through
pyduckling-native-phihos 0.3.0; where it is blind, chronologia 0.31.7a2, a general-purpose library
of calendars with a reader of its own (open source, in Python).
"""

import re
import warnings
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from unicodedata import normalize
from zoneinfo import ZoneInfo

import duckling
import pytest
from babel import Locale
from num2words import num2words

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.wording import Clock, Kind, Situation, clock, parse_bank

MIDNIGHT = datetime(2027, 2, 13, tzinfo=UTC)
Judge = Callable[[str], set[tuple[int, int]]]

# Duckling's blind spots.
LACKING = " para la"
"""It knows no "diez para las tres": it hears three. Chronologia knows it, without a verb."""
FIGURED = re.compile(
    r"\blas? (?P<hour>\w+)(?: horas)?(?: (?:y |cero )?(?P<minute>[\w ]+?)(?: minutos?)?)?$"
)
"""It does not go on after "horas", nor does it know the hour or the minutes with "cero": it is
shown those in figures, made with num2words. Chronologia does not hear them either."""
CUT = re.compile(r"cuartos? de hora|veintiún")
"""It has no quarters of an hour, nor twenty-one before a noun."""
NOT_JOINED = "de la noche"
"""It takes "las doce de la noche" for a stretch of time: it is shown "las doce"."""
WITH_MINUTE = re.compile(r"(\bun|veintiún) minutos?$")
"""It takes "las dos y un minuto" for two o'clock and a minute: it is shown "uno"."""


WRITTEN = {num2words(number, lang="es"): number for number in range(60)}


def figure(words: str) -> int:
    """The number that num2words writes so, in any gender."""
    return WRITTEN[words] if words in WRITTEN else WRITTEN[re.sub("(una|ún|un)$", "uno", words)]


@pytest.fixture(scope="module")
def judge() -> Judge:
    """The wall-clock times of duckling's longest finding, in either half of the day."""
    zones = duckling.load_time_zones("/usr/share/zoneinfo")
    now = duckling.parse_ref_time(zones, "UTC", int(MIDNIGHT.timestamp()))
    context = duckling.Context(now, duckling.default_locale_lang(duckling.parse_lang("ES")))
    times = duckling.parse_dimensions(["time"])

    def heard(text: str) -> set[tuple[int, int]]:
        found: list[dict[str, Any]] = duckling.parse(text, context, times, with_latent=False)
        longest = max((len(each["body"]) for each in found), default=0)
        return {
            (moment.hour, moment.minute)
            for each in found
            if len(each["body"]) == longest
            for value in each["value"]["values"]
            if "value" in value  # others are stretches of time
            for moment in [datetime.fromisoformat(value["value"])]
        }

    return heard


def halves(times: set[tuple[int, int]]) -> set[tuple[int, int]]:
    return {(hour % 12, minute) for hour, minute in times}


def shown(text: str) -> str:
    """The text as the judge can read it: what it is blind to, in figures."""
    match = FIGURED.search(text) if re.search(r" horas\b| cero\b", text) else None
    if match:
        return f"a las {figure(match['hour']):02}:{figure(match['minute'] or 'cero'):02}"
    plain = WITH_MINUTE.sub(lambda found: found[1].replace("ún", "un") + "o", text)
    return plain.removesuffix(f" {NOT_JOINED}")


def sampled(full: bool) -> Iterator[tuple[int, int]]:
    """Every minute of the day, or each quarter and one in seven."""
    for minute in range(1440):
        if full or minute % 15 == 0 or minute % 7 == 0:
            yield divmod(minute, 60)


def phrases(teller: Clock, hour: int, minute: int) -> set[str]:
    return {
        *teller.idioms(hour, minute),
        *teller.at(hour, minute),
        *teller.it_is(hour, minute),
    }


@pytest.mark.parametrize("manner", ["peninsular", "american", "24-hour"])
def test_every_idiom_of_every_minute_is_read_back(judge: Judge, manner: str, full: bool) -> None:
    teller = clock("es", (manner,))
    for hour, minute in sampled(full):
        for said in phrases(teller, hour, minute):
            if LACKING not in said:
                assert halves(judge(shown(said))) == {(hour % 12, minute)}, (said, shown(said))


def test_what_is_lacking_to_the_hour_is_read_by_the_second_reader(full: bool) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from chronologia import extract_timespan

    def heard(text: str) -> tuple[int, int] | None:
        found = extract_timespan(text, "es", MIDNIGHT.replace(tzinfo=None))
        start = found[0].start_datetime if found else None
        return (start.hour % 12, start.minute) if start else None

    teller = clock("es", ("american",))
    for minute in range(31, 60, 1 if full else 4):
        for hour in range(12) if full else (0, 2, 11):
            for said in teller.idioms(hour, minute):
                if LACKING in said:
                    alone = re.sub(r"^un cuarto", "cuarto", said).replace("un minuto", "uno")
                    assert heard(re.sub(r" minutos?", "", alone)) == (hour, minute), said


def test_noon_and_midnight_are_read_in_their_half_of_the_day(judge: Judge) -> None:
    for hour in (0, 12):
        for said in clock("es").idioms(hour, 0):
            open_half = said == "las doce" or said.endswith(NOT_JOINED)
            assert judge(shown(said)) == ({(0, 0), (12, 0)} if open_half else {(hour, 0)}), said


def test_day_periods_are_read_in_their_half_of_the_day(judge: Judge) -> None:
    for hour in range(24):
        at = MIDNIGHT + timedelta(hours=hour, minutes=30)
        for part in clock("es").dayparts(at, MIDNIGHT):
            assert (hour, 30) in judge(f"{clock('es').at(hour, 30)[0]} {part}")


def test_whole_sentences_are_read_back(judge: Judge) -> None:
    bank = parse_bank(shipped("phrasebanks/es.yaml").read_text(encoding="utf-8"), "es.yaml")
    signs = Signboard("Fair", "The Tin Orchard", "Barnaby Rook", ("es",), ZoneInfo("UTC"))
    for hour, minute in ((14, 30), (11, 20), (15, 40)):
        at = MIDNIGHT.replace(hour=hour, minute=minute)
        situation = Situation(Kind.NEXT, MIDNIGHT, signs, at=at, piece="Frost Bells")
        for text in bank.sentences(situation, 150):
            assert halves(judge(text)) == {(hour % 12, minute)}, text


def test_minutes_to_go_are_read_back() -> None:
    """As lengths: duckling finds no time from now in "media hora"."""
    zones = duckling.load_time_zones("/usr/share/zoneinfo")
    now = duckling.parse_ref_time(zones, "UTC", int(MIDNIGHT.timestamp()))
    context = duckling.Context(now, duckling.default_locale_lang(duckling.parse_lang("ES")))
    lengths = duckling.parse_dimensions(["duration"])
    for to_go in range(1, 60):
        for said in clock("es").within(to_go):
            if CUT.search(said):
                continue
            found = duckling.parse(said, context, lengths, with_latent=False)
            assert [each["value"]["normalized"]["value"] for each in found] == [to_go * 60], said


def test_numbers_are_those_of_num2words() -> None:
    spanish = clock("es")
    for number in range(2, 60):
        words = num2words(number, lang="es")
        counted = re.sub(r"veintiuno$", "veintiún", words)
        assert f"{re.sub(r' uno$', ' un', counted)} minutos" in spanish.minutes(number)
        if number >= 10:
            assert f"las dos {words}" in spanish.idioms(14, number)
    for hour in range(13, 24):
        named = re.sub("uno$", "una", num2words(hour, lang="es"))
        assert clock("es", ("24-hour",)).idioms(hour, 0) == (f"las {named} horas",)
    for day in range(1, 29):
        at = datetime(2027, 3, day)
        assert spanish.days(at, MIDNIGHT.replace(tzinfo=None)) == (
            f"el {num2words(day, lang='es')} de marzo",
        ) or at < datetime(2027, 2, 20)


def test_day_periods_days_and_months_are_those_of_cldr() -> None:
    """Source: CLDR's "dayPeriodRuleSet", days and months, as Babel ships them."""
    locale = Locale.parse("es")
    names = locale.day_periods["format"]["abbreviated"]
    noon = names["noon"]
    assert clock("es").idioms(12, 0)[0] == f"las doce {normalize('NFC', noon)}"
    for minute in range(60, 1440):
        at = MIDNIGHT + timedelta(minutes=minute)
        (period,) = (
            name
            for name, spans in locale.day_period_rules[None].items()
            for span in spans
            if span.get("from", 86_400) <= minute * 60 < span.get("before", 0)
        )
        said = clock("es").dayparts(at, MIDNIGHT)
        assert said == (() if at.hour == 12 else (names[period],)), at
    for ahead in range(2, 7):
        at = MIDNIGHT + timedelta(days=ahead)
        name = locale.days["format"]["wide"][at.weekday()]
        assert clock("es").days(at, MIDNIGHT) == (f"el {name}",)
    for month in range(1, 13):
        at = datetime(2028, month, 15, tzinfo=UTC)
        (said,) = clock("es").days(at, MIDNIGHT)
        assert said == f"el quince de {locale.months['format']['wide'][month]}"
