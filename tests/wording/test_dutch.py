"""Dutch as it is told at the stall: half hours, manners, days, and what is left unsaid."""

import re
from datetime import datetime

import pytest

from showtime.wording import WordingError, clock

MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2027, 2, day, hour, minute).astimezone()


@pytest.mark.parametrize(
    ("time", "standard", "flemish", "whole_day"),
    [
        ("14:00", ["twee uur"], ["twee uur"], "veertien uur"),
        ("13:00", ["één uur"], ["één uur"], "dertien uur"),
        ("01:00", ["één uur"], ["één uur"], "één uur"),
        ("21:00", ["negen uur"], ["negen uur"], "eenentwintig uur"),
        ("12:00", ["twaalf uur 's middags", "twaalf uur"], None, "twaalf uur"),
        ("00:00", ["middernacht", "twaalf uur 's nachts", "twaalf uur"], None, "nul uur"),
        ("14:30", ["half drie"], ["half drie", "twee uur dertig"], "veertien uur dertig"),
        ("12:30", ["half één"], ["half één", "twaalf uur dertig"], "twaalf uur dertig"),
        ("00:30", ["half één"], ["half één", "twaalf uur dertig"], "nul uur dertig"),
        (
            "14:15",
            ["kwart over twee"],
            ["kwart na twee", "twee uur vijftien"],
            "veertien uur vijftien",
        ),
        (
            "12:45",
            ["kwart voor één"],
            ["kwart voor één", "twaalf uur vijfenveertig"],
            "twaalf uur vijfenveertig",
        ),
        (
            "14:20",
            ["tien voor half drie", "tien minuten voor half drie", "twintig over twee"],
            [
                "twintig na twee",
                "twintig minuten na twee",
                "tien voor half drie",
                "twee uur twintig",
            ],
            "veertien uur twintig",
        ),
        (
            "14:40",
            ["tien over half drie", "twintig voor drie"],
            [
                "twintig voor drie",
                "twintig minuten voor drie",
                "tien na half drie",
                "twee uur veertig",
            ],
            "veertien uur veertig",
        ),
        (
            "14:25",
            ["vijf voor half drie", "vijf minuten voor half drie"],
            None,
            "veertien uur vijfentwintig",
        ),
        (
            "14:35",
            ["vijf over half drie"],
            ["vijf na half drie", "vijf minuten na half drie", "twee uur vijfendertig"],
            "veertien uur vijfendertig",
        ),
        ("14:07", ["zeven over twee"], None, "veertien uur zeven"),
        ("14:01", ["één over twee"], None, "veertien uur één"),
        ("12:59", ["één voor één", "één minuut voor één"], None, "twaalf uur negenenvijftig"),
        (
            "14:17",
            ["zeventien over twee", "dertien voor half drie"],
            None,
            "veertien uur zeventien",
        ),
        ("14:22", ["acht voor half drie", "acht minuten voor half drie"], None, None),
        ("14:43", ["zeventien voor drie", "zeventien minuten voor drie"], None, None),
    ],
)
def test_the_most_usual_idiom_comes_first(
    time: str, standard: list[str], flemish: list[str] | None, whole_day: str | None
) -> None:
    hour, minute = map(int, time.split(":"))
    told = {way: list(clock("nl", (way,)).idioms(hour, minute)) for way in clock("nl").manners}
    assert told["standard"][: len(standard)] == standard
    assert clock("nl").idioms(hour, minute) == tuple(told["standard"])
    if flemish:
        assert told["flemish"] == flemish
    if whole_day:
        assert told["24-hour"] == [whole_day]


@pytest.mark.parametrize(
    ("hour", "minute", "when", "shown"),
    [
        (13, 0, "om één uur", "het is één uur"),
        (14, 30, "om half drie", "het is half drie"),
        (0, 0, "om middernacht", "het is middernacht"),
        (12, 0, "om twaalf uur 's middags", "het is twaalf uur 's middags"),
    ],
)
def test_the_words_before_a_time(hour: int, minute: int, when: str, shown: str) -> None:
    assert clock("nl").at(hour, minute)[0] == when
    assert clock("nl").it_is(hour, minute)[0] == shown


def test_nothing_is_said_that_other_listeners_take_for_another_time() -> None:
    said = [idiom for hour, minute in MINUTES for idiom in clock("nl").at(hour, minute)]
    assert not [idiom for idiom in said if re.search(r"\been\b|vierentwintig uur", idiom)]
    assert not [idiom for idiom in said if re.search(r"minu(ut|ten) over", idiom)]
    assert not [idiom for idiom in said if re.fullmatch(r"om \w+", idiom) and "nacht" not in idiom]
    assert not [idiom for idiom in said if re.search(r"\bna\b", idiom)]


@pytest.mark.parametrize(
    ("to_go", "words"),
    [
        (0, ("minder dan een minuut",)),
        (1, ("één minuut", "een minuut")),
        (2, ("twee minuten",)),
        (15, ("vijftien minuten", "een kwartier")),
        (22, ("tweeëntwintig minuten",)),
        (30, ("dertig minuten", "een half uur")),
        (45, ("vijfenveertig minuten", "drie kwartier")),
    ],
)
def test_minutes_to_go(to_go: int, words: tuple[str, ...]) -> None:
    assert clock("nl").minutes(to_go) == words
    assert clock("nl").within(to_go) == tuple(f"over {each}" for each in words)


@pytest.mark.parametrize(
    ("hour", "minute", "same", "other"),
    [
        (0, 30, "vannacht", "'s nachts"),
        (5, 59, "vannacht", "'s nachts"),
        (6, 0, "vanochtend", "'s ochtends"),
        (12, 1, "vanmiddag", "'s middags"),
        (18, 0, "vanavond", "'s avonds"),
        (23, 59, "vanavond", "'s avonds"),
    ],
)
def test_day_periods(hour: int, minute: int, same: str, other: str) -> None:
    dutch = clock("nl")
    assert dutch.dayparts(at(hour, minute), at(0)) == (same,)
    assert dutch.dayparts(at(hour, minute, day=14), at(9)) == (other,)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (13, ("vandaag",)),
        (14, ("morgen",)),
        (15, ("op maandag", "overmorgen")),
        (19, ("op vrijdag",)),
        (20, ("op twintig februari",)),
        (22, ("op tweeëntwintig februari",)),
    ],
)
def test_days_are_named_so_that_nobody_comes_on_the_wrong_one(
    day: int, words: tuple[str, ...]
) -> None:
    assert clock("nl").days(at(10, day=day), at(18)) == words


def test_the_first_of_a_month_is_a_number_too() -> None:
    first = datetime(2027, 3, 1, 10).astimezone()
    assert clock("nl").days(first, at(10)) == ("op één maart",)


def test_an_unknown_manner_is_named() -> None:
    with pytest.raises(WordingError, match="Dutch has no 'frisian' manner: standard, flemish"):
        clock("nl", ("frisian",))
