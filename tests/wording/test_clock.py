"""How English tells the time: the words of telling minutes, by hand."""

from datetime import datetime, timedelta

import pytest

from showtime.wording import Told, WordingError, clock, times_told

MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2027, 2, day, hour, minute).astimezone()


@pytest.mark.parametrize(
    ("time", "british", "american"),
    [
        ("14:30", ["half past two", "two thirty"], ["two thirty", "half past two"]),
        (
            "14:35",
            ["twenty-five to three", "twenty-five minutes to three", "two thirty-five"],
            ["two thirty-five", "twenty-five to three", "twenty-five minutes to three"],
        ),
        (
            "14:07",
            ["seven minutes past two", "two oh seven"],
            ["two oh seven", "seven minutes after two"],
        ),
        (
            "14:10",
            ["ten past two", "ten minutes past two", "two ten"],
            ["two ten", "ten after two", "ten minutes after two"],
        ),
        ("02:59", ["one minute to three", "two fifty-nine"], None),
        (
            "23:45",
            ["quarter to twelve", "a quarter to twelve", "fifteen minutes to twelve"],
            None,
        ),
        ("00:15", ["quarter past twelve", "a quarter past twelve"], ["quarter after twelve"]),
        ("12:55", ["five to one"], ["twelve fifty-five"]),
        ("14:00", ["two o'clock"], ["two o'clock"]),
        ("12:00", ["noon", "twelve o'clock", "midday", "twelve noon"], ["noon"]),
        ("00:00", ["midnight", "twelve o'clock", "twelve midnight"], ["midnight"]),
    ],
)
def test_the_most_usual_idiom_comes_first(
    time: str, british: list[str], american: list[str] | None
) -> None:
    hour, minute = map(int, time.split(":"))
    assert list(clock("en", ("british",)).idioms(hour, minute))[: len(british)] == british
    if american:
        assert list(clock("en", ("american",)).idioms(hour, minute))[: len(american)] == american
    each = [clock("en", (way,)).idioms(hour, minute) for way in ("british", "american")]
    assert set(clock("en").idioms(hour, minute)) == {*each[0], *each[1]}


def test_nothing_is_said_that_other_listeners_take_for_another_time() -> None:
    said = {idiom for hour, minute in MINUTES for idiom in clock("en").idioms(hour, minute)}
    assert not [idiom for idiom in said if idiom.startswith("half") and " past " not in idiom]
    assert not [idiom for idiom in said if {"of", "till", "before"} & set(idiom.split())]
    teens = ("thirteen", "fourteen", "fifteen", "fifty")
    assert not [idiom for idiom in said if idiom.endswith(teens)]
    assert all(len(idiom.split()) > 1 or idiom in ("noon", "midday", "midnight") for idiom in said)


def test_noon_and_midnight_say_which_half_of_the_day_they_mean() -> None:
    for text, hour, other in (("noon", 12, 0), ("midnight", 0, 12), ("midday", 12, 0)):
        (told,) = times_told(f"come at {text}", "en")
        assert told.means(at(hour), at(9))
        assert not told.means(at(other), at(9))


@pytest.mark.parametrize(
    ("seconds", "told"),
    [
        (-30, "less than a minute"),
        (0, "less than a minute"),
        (59, "less than a minute"),
        (60, "a minute"),
        (89, "a minute"),
        (90, "two minutes"),
        (149, "two minutes"),
        (150, "three minutes"),
        (30 * 60, "thirty minutes"),
        (59 * 60 + 29, "fifty-nine minutes"),
    ],
)
def test_minutes_to_go_are_told_to_the_nearest(seconds: int, told: str) -> None:
    start, now = at(14, 30), at(14, 30) - timedelta(seconds=seconds)
    english = clock("en")
    for minutes in range(60):
        for words in english.minutes(minutes):
            (heard,) = times_told(f"in {words}", "en")
            assert heard.means(start, now) == (told in english.minutes(minutes))


def test_no_minutes_are_told_when_they_are_many_or_over() -> None:
    (heard,) = times_told("in fifty-nine minutes", "en")
    assert not heard.means(at(14, 30), at(13, 30))
    (heard,) = times_told("in less than a minute", "en")
    assert not heard.means(at(14, 30), at(14, 31))


@pytest.mark.parametrize(
    ("hour", "minute", "same", "other"),
    [
        (0, 0, (), ()),
        (0, 30, (), ()),
        (1, 0, ("this morning", "in the morning"), ("in the morning",)),
        (11, 59, ("this morning", "in the morning"), ("in the morning",)),
        (12, 0, (), ()),
        (12, 1, ("this afternoon", "in the afternoon"), ("in the afternoon",)),
        (17, 59, ("this afternoon", "in the afternoon"), ("in the afternoon",)),
        (18, 0, ("this evening", "in the evening"), ("in the evening",)),
        (20, 59, ("this evening", "in the evening"), ("in the evening",)),
        (21, 0, ("tonight", "at night"), ("at night",)),
        (23, 59, ("tonight", "at night"), ("at night",)),
    ],
)
def test_day_periods_are_named_and_settle_the_half_of_the_day(
    hour: int, minute: int, same: tuple[str, ...], other: tuple[str, ...]
) -> None:
    english = clock("en")
    assert english.dayparts(at(hour, minute), at(9)) == same
    assert english.dayparts(at(hour, minute), at(9, day=12)) == other
    for part in same:
        for idiom in english.idioms(hour, minute):
            for text in (f"{idiom} {part}", f"{idiom}, {part}.", f"{part} at {idiom}"):
                (told,) = times_told(text, "en")
                assert told.means(at(hour, minute), at(9))
                assert not told.means(at((hour + 12) % 24, minute), at(9)), (text, told)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (13, "today"),
        (14, "tomorrow"),
        (15, "on Monday"),
        (19, "on Friday"),
        (20, "on the twentieth of February"),
        (28, "on the twenty-eighth of February"),
        (12, "on the twelfth of February"),
    ],
)
def test_days_are_named_so_that_nobody_comes_on_the_wrong_one(day: int, words: str) -> None:
    assert clock("en").days(at(10, day=day), at(18)) == (words,)


def test_the_date_is_told_across_the_turn_of_the_year() -> None:
    now = datetime(2027, 12, 28, 12).astimezone()
    first = datetime(2028, 1, 1, 0, 30).astimezone()
    assert clock("en").days(first, now) == ("on Saturday",)
    assert clock("en").days(first + timedelta(days=30), now) == ("on the thirty-first of January",)


def test_an_unknown_language_or_manner_is_named() -> None:
    with pytest.raises(WordingError, match="no clock speaks 'xx'; there is one for: en"):
        clock("xx")
    with pytest.raises(WordingError, match="no 'scottish' manner"):
        clock("en", ("scottish",))
    assert isinstance(times_told("at two.", "en")[0], Told)


def test_the_manner_of_timetables_counts_the_hours_of_the_whole_day() -> None:
    timetable = clock("en", ("24-hour",))
    assert timetable.idioms(14, 30) == ("fourteen thirty",)
    assert timetable.idioms(20, 5) == ("twenty oh five",)
    assert timetable.idioms(21, 0) == ("nine o'clock",), "'twenty-one hundred' may be a number"
    assert timetable.idioms(9, 15) == clock("en", ("british",)).idioms(9, 15)
    assert timetable.idioms(17, 15)[0] == "quarter past five", "'seventeen fifteen' is misheard"
    assert "fourteen thirty" not in clock("en").idioms(14, 30)
    for hour, minute in MINUTES:
        for idiom in timetable.idioms(hour, minute):
            (told,) = times_told(f"I play at {idiom}.", "en")
            assert told.means(at(hour, minute), at(0)), (idiom, told)
            if hour > 12 and minute and "past" not in idiom and " to " not in idiom:
                assert not told.means(at(hour - 12, minute), at(0))


@pytest.mark.parametrize(
    ("text", "minutes"), [("twenty-five to three", 155), ("twenty past one", 80)]
)
def test_whole_day_hours_take_nothing_from_other_idioms(text: str, minutes: int) -> None:
    (told,) = times_told(f"come at {text}", "en")
    assert told.minutes == minutes
    (few,) = times_told("in twenty-five minutes", "en")
    assert few.minutes == 25
