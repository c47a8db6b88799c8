"""In whatever language the figure is asked: every time that it may tell is heard as that time."""

from datetime import datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from showtime.wording import LANGUAGES, clock

MIDNIGHT = datetime(2027, 2, 13, tzinfo=ZoneInfo("UTC"))
MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


@pytest.fixture(params=list(LANGUAGES))
def language(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def half_days_on(moment: datetime) -> datetime:
    return moment + timedelta(hours=12)


def ways(language: str) -> list[tuple[str, ...]]:
    """The usual manners of a language, and each of them alone."""
    return [(), *((manner,) for manner in clock(language).manners)]


@cache
def phrases_of(language: str) -> dict[tuple[int, int], tuple[str, ...]]:
    """All that may be said of each minute, in any manner, with and without words around it."""
    tellers = [clock(language, manners) for manners in ways(language)]
    phrases = dict[tuple[int, int], tuple[str, ...]]()
    for minute in MINUTES:
        said = dict[str, None]()
        for teller in tellers:
            for way in (teller.idioms, teller.at, teller.it_is):
                these = way(*minute)
                assert these, minute
                assert len(set(these)) == len(these), these
                said |= dict.fromkeys(these)
        phrases[minute] = tuple(said)
    return phrases


def test_every_way_to_tell_every_minute_is_heard_as_that_minute_alone(
    language: str, full: bool
) -> None:
    teller = clock(language)
    for place, ((hour, minute), phrases) in enumerate(phrases_of(language).items()):
        at = MIDNIGHT.replace(hour=hour, minute=minute)
        (today, *_) = teller.days(at, at)
        for phrase in phrases:
            spoken = f"{phrase.capitalize()}, {today}!"
            for text in (phrase, spoken) if full or place % 7 == 0 else (phrase,):
                told = teller.told(text)
                assert len(told) == 1, (text, told)
                assert told[0].means(at, MIDNIGHT), (text, told)


def test_no_phrase_is_said_of_two_minutes_of_the_half_day(language: str) -> None:
    owner = dict[str, int]()
    for (hour, minute), phrases in phrases_of(language).items():
        half = (hour * 60 + minute) % 720
        for phrase in phrases:
            assert owner.setdefault(phrase.casefold(), half) == half, phrase


def test_minutes_to_go_are_heard_as_those_and_no_others(language: str) -> None:
    teller = clock(language)
    owner = dict[str, int]()
    for to_go in range(60):
        for way in (teller.minutes, teller.within):
            phrases = way(to_go)
            assert phrases
            for phrase in phrases:
                assert owner.setdefault(phrase.casefold(), to_go) == to_go, phrase
                for text in (phrase, f"{phrase.capitalize()}."):
                    (told,) = teller.told(text)
                    heard = [
                        minutes
                        for minutes in range(60)
                        if told.means(MIDNIGHT + timedelta(minutes=minutes, seconds=5), MIDNIGHT)
                    ]
                    assert heard == [to_go], (text, told)


def test_a_day_period_settles_which_half_of_the_day_is_meant(language: str) -> None:
    """Where the time itself leaves it open; noon and midnight name it themselves."""
    teller = clock(language)
    for hour, minute in MINUTES[::5]:
        at = MIDNIGHT.replace(hour=hour, minute=minute)
        for now in (MIDNIGHT, MIDNIGHT - timedelta(hours=9)):
            for part in teller.dayparts(at, now):
                assert not teller.told(part), part
                for said in teller.at(hour, minute):
                    for text in (f"{said} {part}", f"{said.capitalize()}, {part}."):
                        (told,) = teller.told(text)
                        assert told.means(at, now), (text, told)
                        assert not told.means(half_days_on(at), now), (text, told)
    for hour in (0, 12):
        assert teller.dayparts(MIDNIGHT.replace(hour=hour), MIDNIGHT) == ()


def test_no_two_days_of_a_season_have_one_name(language: str) -> None:
    """Neither does naming the day tell a time, nor change the time beside it."""
    teller = clock(language)
    owner = dict[str, int]()
    for ahead in range(300):
        at = MIDNIGHT + timedelta(days=ahead, hours=14, minutes=30)
        names = teller.days(at, MIDNIGHT + timedelta(hours=10))
        assert names
        for name in names:
            assert owner.setdefault(name.casefold(), ahead) == ahead, name
            assert not teller.told(name), name
            for said in teller.at(14, 30):
                for text in (f"{name} {said}.", f"{said} {name}."):
                    (told,) = teller.told(text)
                    assert told.means(at, at), (text, told)
