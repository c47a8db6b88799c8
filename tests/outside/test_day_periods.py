"""Day periods are CLDR's.

Source: the Unicode Common Locale Data Repository, "dayPeriodRuleSet" and the day periods in
"format" width "wide", as Babel ships them. (Older releases of CLDR began the English morning at
06:00 and let the night last until then; Babel 2.14 and later have it from midnight.)
"""

from datetime import datetime, timedelta

from babel import Locale
from babel.dates import format_time

from showtime.wording import clock

NOW = datetime(2027, 2, 12, 9, 0)
MIDNIGHT = datetime(2027, 2, 13)


def period(seconds: int, locale: Locale) -> str:
    """The name of the CLDR day period in which that second of the day lies."""
    rules = locale.day_period_rules[None]
    for name, spans in rules.items():
        for span in spans:
            if span.get("at") == seconds:
                return str(name)
    for name, spans in rules.items():
        for span in spans:
            if span.get("from", 86_400) <= seconds < span.get("before", 0):
                return str(name)
    raise AssertionError(seconds)


def test_every_minute_of_the_day_is_in_the_period_that_cldr_puts_it_in() -> None:
    english, locale = clock("en"), Locale.parse("en_GB")
    words = locale.day_periods["format"]["wide"]
    for minute in range(1440):
        at = MIDNIGHT + timedelta(minutes=minute)
        name = period(minute * 60, locale)
        if name in ("noon", "midnight"):
            assert name in english.idioms(at.hour, at.minute)
            assert english.dayparts(at, NOW) == ()
        elif at.hour == 0:
            assert name == "morning1"
            assert english.dayparts(at, NOW) == ()
        else:
            assert english.dayparts(at, NOW) == (words[name],)


def test_on_the_same_day_the_period_is_this_one() -> None:
    english, locale = clock("en"), Locale.parse("en_GB")
    short = locale.day_periods["stand-alone"]["wide"]
    for minute in range(60, 1440, 7):
        at = MIDNIGHT + timedelta(minutes=minute)
        if minute != 720:
            name = short[period(minute * 60, locale)]
            said = english.dayparts(at, MIDNIGHT)[0]
            assert said == ("tonight" if name == "night" else f"this {name}")


def test_babel_itself_writes_the_same_periods() -> None:
    """A cross-check of this file's own reading of the rules: Babel's pattern letter B."""
    locale = Locale.parse("en_GB")
    for minute in range(0, 1440, 5):
        at = MIDNIGHT + timedelta(minutes=minute)
        name = period(minute * 60, locale)
        written = format_time(at.time(), "BBBB", locale=locale)
        assert written == locale.day_periods["format"]["wide"][name]
