"""Numbers in words are those of num2words, a general-purpose library for numbers in words."""

import re

from num2words import num2words

from showtime.wording import clock

MISHEARD = {13, 14, 15, 50}
"""Not told in this way: "five fifteen" is taken for "five fifty"."""


def plain(words: str) -> str:
    return words.replace(" and ", " ")


def test_minutes_and_hours_are_counted_in_the_right_words() -> None:
    english = clock("en")
    for hour in range(24):
        spoken = num2words((hour - 1) % 12 + 1, lang="en")
        for minute in set(range(10, 60)) - MISHEARD:
            assert f"{spoken} {num2words(minute, lang='en')}" in english.idioms(hour, minute)
        for minute in range(1, 10):
            assert f"{spoken} oh {num2words(minute, lang='en')}" in english.idioms(hour, minute)
    for minutes in range(2, 60):
        assert f"{num2words(minutes, lang='en')} minutes" in english.minutes(minutes)


def test_no_idiom_has_a_word_that_the_numbers_do_not_have() -> None:
    words = {word for number in range(60) for word in num2words(number, lang="en").split("-")}
    around = {"o'clock", "oh", "past", "to", "after", "half", "quarter", "a", "minute", "minutes"}
    around |= {"noon", "midday", "midnight"}
    english = clock("en")
    for minute in range(1440):
        for idiom in english.idioms(*divmod(minute, 60)):
            assert set(re.split("[ -]", idiom)) <= words | around


def test_days_of_a_month_are_the_right_ordinals() -> None:
    from datetime import datetime, timedelta

    now = datetime(2027, 1, 1)
    for day in range(7, 120):
        at = now + timedelta(days=day)
        (said,) = clock("en").days(at, now)
        ordinal = num2words(at.day, to="ordinal", lang="en")
        assert said == f"on the {ordinal} of {at:%B}"
