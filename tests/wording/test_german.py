"""German as it is told at the stall: half hours, cases, manners, and what is left unsaid."""

import re
from datetime import datetime

import pytest

from showtime.wording import WordingError, clock

MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2027, 2, day, hour, minute).astimezone()


@pytest.mark.parametrize(
    ("time", "standard", "regional", "whole_day"),
    [
        ("14:00", ["zwei Uhr"], None, "vierzehn Uhr"),
        ("13:00", ["ein Uhr"], None, "dreizehn Uhr"),
        ("01:00", ["ein Uhr"], None, "ein Uhr"),
        ("21:00", ["neun Uhr"], None, "einundzwanzig Uhr"),
        ("12:00", ["zwölf Uhr mittags", "zwölf Uhr"], None, "zwölf Uhr"),
        ("00:00", ["Mitternacht", "zwölf Uhr nachts", "zwölf Uhr"], None, "null Uhr"),
        ("14:30", ["halb drei", "zwei Uhr dreißig"], None, "vierzehn Uhr dreißig"),
        ("12:30", ["halb eins", "zwölf Uhr dreißig"], None, "zwölf Uhr dreißig"),
        ("00:30", ["halb eins", "zwölf Uhr dreißig"], None, "null Uhr dreißig"),
        (
            "14:15",
            ["Viertel nach zwei", "zwei Uhr fünfzehn"],
            ["viertel drei", "zwei Uhr fünfzehn"],
            "vierzehn Uhr fünfzehn",
        ),
        (
            "12:45",
            ["Viertel vor eins", "zwölf Uhr fünfundvierzig"],
            ["dreiviertel eins", "zwölf Uhr fünfundvierzig"],
            "zwölf Uhr fünfundvierzig",
        ),
        (
            "14:25",
            ["fünf vor halb drei", "fünf Minuten vor halb drei", "zwei Uhr fünfundzwanzig"],
            None,
            "vierzehn Uhr fünfundzwanzig",
        ),
        (
            "14:35",
            ["fünf nach halb drei", "fünf Minuten nach halb drei", "zwei Uhr fünfunddreißig"],
            None,
            "vierzehn Uhr fünfunddreißig",
        ),
        (
            "14:20",
            [
                "zwanzig nach zwei",
                "zwanzig Minuten nach zwei",
                "zehn vor halb drei",
                "zwei Uhr zwanzig",
            ],
            None,
            "vierzehn Uhr zwanzig",
        ),
        (
            "12:40",
            [
                "zwanzig vor eins",
                "zwanzig Minuten vor eins",
                "zehn nach halb eins",
                "zwölf Uhr vierzig",
            ],
            None,
            "zwölf Uhr vierzig",
        ),
        (
            "14:07",
            ["sieben Minuten nach zwei", "zwei Uhr sieben"],
            None,
            "vierzehn Uhr sieben",
        ),
        (
            "14:01",
            ["eine Minute nach zwei", "zwei Uhr eins"],
            None,
            "vierzehn Uhr eins",
        ),
        (
            "14:31",
            ["eine Minute nach halb drei", "zwei Uhr einunddreißig"],
            None,
            "vierzehn Uhr einunddreißig",
        ),
        (
            "00:59",
            ["eine Minute vor eins", "zwölf Uhr neunundfünfzig"],
            None,
            "null Uhr neunundfünfzig",
        ),
    ],
)
def test_the_most_usual_idiom_comes_first(
    time: str, standard: list[str], regional: list[str] | None, whole_day: str
) -> None:
    hour, minute = map(int, time.split(":"))
    told = {way: list(clock("de", (way,)).idioms(hour, minute)) for way in clock("de").manners}
    assert told["standard"] == standard
    assert told["regional"] == (regional or standard)
    assert told["24-hour"] == [whole_day]
    assert clock("de").idioms(hour, minute) == tuple(dict.fromkeys([*standard, whole_day]))


@pytest.mark.parametrize(
    ("hour", "minute", "when", "shown"),
    [
        (13, 0, {"um ein Uhr", "um dreizehn Uhr", "um eins"}, "es ist ein Uhr"),
        (14, 0, {"um zwei Uhr", "um vierzehn Uhr", "um zwei"}, "es ist zwei Uhr"),
        (0, 0, {"um Mitternacht", "um null Uhr", "um zwölf Uhr nachts"}, "es ist Mitternacht"),
        (12, 0, {"um zwölf Uhr mittags", "um zwölf Uhr", "um zwölf"}, "es ist zwölf Uhr mittags"),
        (14, 30, {"um halb drei"}, "es ist halb drei"),
    ],
)
def test_the_words_before_a_time(hour: int, minute: int, when: set[str], shown: str) -> None:
    assert when <= set(clock("de").at(hour, minute))
    assert clock("de").it_is(hour, minute)[0] == shown


def test_one_is_ein_before_uhr_and_eins_by_itself() -> None:
    for way in clock("de").manners:
        for hour, minute in MINUTES:
            for said in clock("de", (way,)).at(hour, minute):
                assert not re.search(r"\beins Uhr|\bein(?! Uhr\b)\b|\beine Minuten\b", said), said
                assert not re.search(r"\beins (vor|nach|Minute)", said), said


def test_nothing_is_said_that_other_listeners_take_for_another_time() -> None:
    said = [idiom for hour, minute in MINUTES for idiom in clock("de").at(hour, minute)]
    assert not [idiom for idiom in said if re.search(r"viertel(?! (vor|nach) )", idiom.lower())]
    assert not [idiom for idiom in said if "vierundzwanzig Uhr" in idiom]
    assert not [idiom for idiom in said if re.search(r"\bMittag\b", idiom)]
    bare = re.compile(r"um (\w+) (vor|nach) ")
    counts = {match[1] for match in map(bare.match, said) if match}
    assert counts == {"fünf", "zehn", "zwanzig", "Viertel"}


@pytest.mark.parametrize(
    ("to_go", "subject", "until"),
    [
        (0, ("weniger als eine Minute",), ("in weniger als einer Minute",)),
        (1, ("eine Minute",), ("in einer Minute",)),
        (2, ("zwei Minuten",), ("in zwei Minuten",)),
        (
            15,
            ("fünfzehn Minuten", "eine Viertelstunde"),
            ("in fünfzehn Minuten", "in einer Viertelstunde"),
        ),
        (21, ("einundzwanzig Minuten",), ("in einundzwanzig Minuten",)),
        (
            30,
            ("dreißig Minuten", "eine halbe Stunde"),
            ("in dreißig Minuten", "in einer halben Stunde"),
        ),
    ],
)
def test_minutes_to_go_stand_in_the_right_case(
    to_go: int, subject: tuple[str, ...], until: tuple[str, ...]
) -> None:
    assert clock("de").minutes(to_go) == subject
    assert clock("de").within(to_go) == until


@pytest.mark.parametrize(
    ("hour", "minute", "same", "other"),
    [
        (0, 30, "heute Nacht", "nachts"),
        (4, 59, "heute Nacht", "nachts"),
        (5, 0, "heute Morgen", "morgens"),
        (10, 0, "heute Vormittag", "vormittags"),
        (12, 1, "heute Mittag", "mittags"),
        (13, 0, "heute Nachmittag", "nachmittags"),
        (18, 0, "heute Abend", "abends"),
        (23, 59, "heute Abend", "abends"),
    ],
)
def test_day_periods(hour: int, minute: int, same: str, other: str) -> None:
    german = clock("de")
    assert german.dayparts(at(hour, minute), at(0)) == (same,)
    assert german.dayparts(at(hour, minute, day=14), at(9)) == (other,)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (13, ("heute",)),
        (14, ("morgen",)),
        (15, ("am Montag", "übermorgen")),
        (19, ("am Freitag",)),
        (20, ("am zwanzigsten Februar",)),
        (21, ("am einundzwanzigsten Februar",)),
        (12, ("am zwölften Februar",)),
    ],
)
def test_days_are_named_so_that_nobody_comes_on_the_wrong_one(
    day: int, words: tuple[str, ...]
) -> None:
    assert clock("de").days(at(10, day=day), at(18)) == words


@pytest.mark.parametrize(
    ("date", "words"),
    [
        ((2027, 3, 1), "am ersten März"),
        ((2027, 3, 3), "am dritten März"),
        ((2027, 4, 7), "am siebten April"),
        ((2027, 5, 8), "am achten Mai"),
        ((2027, 12, 30), "am dreißigsten Dezember"),
    ],
)
def test_dates_are_ordinals(date: tuple[int, int, int], words: str) -> None:
    assert clock("de").days(datetime(*date, 10).astimezone(), at(10)) == (words,)


def test_an_unknown_manner_is_named() -> None:
    with pytest.raises(WordingError, match="German has no 'saxon' manner: standard, regional"):
        clock("de", ("saxon",))
