"""Every English idiom for every minute is understood by a reader that knows nothing of ours.

The judge is duckling, a general-purpose parser of times in text (open source, in Haskell), through
pyduckling-native-phihos 0.3.0, which runs it in this process.
"""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import duckling
import pytest

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.wording import Kind, Situation, clock, parse_bank

MIDNIGHT = datetime(2027, 2, 13, tzinfo=UTC)
Judge = Callable[[str], list[dict[str, Any]]]

# The judge's blind spots. Idioms: none, as long as it may read times that it calls latent, which
# need a context ("two thirty" might be a price); it is asked for them when it finds no others.
# Day periods: it does not join "at night" to a time before it, and reads both halves of the day.
# Sentences: "at seven minutes past two" is cut into "at seven" and the rest, and "until half past
# two" is a stretch of time.
NOT_JOINED = "at night"
NOT_FOLLOWED = (" minutes ", " until ")


@pytest.fixture(scope="module")
def judge() -> Judge:
    """What duckling finds in an English text, at midnight before the fair; "now" left out."""
    zones = duckling.load_time_zones("/usr/share/zoneinfo")
    now = duckling.parse_ref_time(zones, "UTC", int(MIDNIGHT.timestamp()))
    locale = duckling.default_locale_lang(duckling.parse_lang("EN"))
    context = duckling.Context(now, locale)
    times = duckling.parse_dimensions(["time"])

    def found(text: str) -> list[dict[str, Any]]:
        every = duckling.parse(text, context, times, with_latent=True)
        clock_times = [each for each in every if each["value"].get("grain") != "second"]
        return [each for each in clock_times if not each["latent"]] or clock_times

    return found


def heard(found: list[dict[str, Any]]) -> set[tuple[int, int]]:
    """The wall-clock times of the longest finding; a stretch of time counts as (-1, -1)."""
    times = set()
    longest = max((len(each["body"]) for each in found), default=0)
    for each in found:
        for value in each["value"]["values"] if len(each["body"]) == longest else ():
            moment = datetime.fromisoformat(value["value"]) if "value" in value else None
            times.add((moment.hour, moment.minute) if moment else (-1, -1))
    return times


def halves(times: set[tuple[int, int]]) -> set[tuple[int, int]]:
    return {(hour % 12 if hour >= 0 else hour, minute) for hour, minute in times}


def test_every_idiom_of_all_720_minutes_is_read_back(judge: Judge) -> None:
    english = clock("en")
    for minute in range(720):
        hour, past = divmod(minute, 60)
        for idiom in {*english.idioms(hour, past), *english.idioms(hour + 12, past)}:
            assert halves(heard(judge(idiom))) == {(hour, past)}, idiom


def test_noon_and_midnight_are_read_in_their_half_of_the_day(judge: Judge) -> None:
    english = clock("en")
    for hour in (0, 12):
        for idiom in english.idioms(hour, 0):
            times = heard(judge(idiom))
            assert times == ({(0, 0), (12, 0)} if "o'clock" in idiom else {(hour, 0)}), idiom


def test_every_day_period_is_read_in_its_half_of_the_day(judge: Judge) -> None:
    """Eleven o'clock "at night" is in the evening, one o'clock "in the morning" before dawn."""
    english = clock("en")
    for hour in range(24):
        at = MIDNIGHT + timedelta(hours=hour, minutes=30)
        for part in english.dayparts(at, MIDNIGHT):
            for idiom in ("half past", "thirty"):
                (said,) = (text for text in english.idioms(hour, 30) if idiom in text)
                times = heard(judge(f"{said} {part}"))
                assert times == {(hour, 30)} or (
                    part == NOT_JOINED and times == {(hour, 30), (hour - 12, 30)}
                )


def test_whole_sentences_are_read_back(judge: Judge) -> None:
    bank = parse_bank(shipped("phrasebanks/en.yaml").read_text(encoding="utf-8"), "en.yaml")
    signs = Signboard("Fair", "The Tin Orchard", "Barnaby Rook", ("en",), ZoneInfo("UTC"))
    for hour, minute in ((14, 30), (11, 20), (15, 40)):
        at = MIDNIGHT.replace(hour=hour, minute=minute)
        situation = Situation(Kind.NEXT, MIDNIGHT, signs, at=at, piece="Frost Bells")
        for text in bank.sentences(situation, 150):
            if not any(words in text for words in NOT_FOLLOWED):
                assert halves(heard(judge(text))) == {(hour % 12, minute)}, text


def test_the_times_of_timetables_are_read_in_their_own_half_of_the_day(judge: Judge) -> None:
    timetable, british = clock("en", ("24-hour",)), clock("en", ("british",))
    for hour in range(13, 24):
        for minute in range(60):
            idioms = timetable.idioms(hour, minute)
            if idioms != british.idioms(hour, minute):
                assert [heard(judge(idiom)) for idiom in idioms] == [{(hour, minute)}], idioms
