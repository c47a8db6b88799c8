"""French as it is told at the stall: agreement, two manners, and what is left unsaid."""

import re
from datetime import datetime

import pytest

from showtime.wording import WordingError, clock, times_told

MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]
THIN = "\u202f"


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2027, 2, day, hour, minute).astimezone()


@pytest.mark.parametrize(
    ("time", "everyday", "by_timetable"),
    [
        ("14:00", ["deux heures"], ["quatorze heures"]),
        ("13:00", ["une heure"], ["treize heures"]),
        ("01:00", ["une heure"], ["une heure"]),
        ("21:00", ["neuf heures"], ["vingt et une heures"]),
        ("12:00", ["midi"], ["midi"]),
        ("00:00", ["minuit"], ["minuit", "zéro heure"]),
        ("14:15", ["deux heures et quart", "deux heures quinze"], ["quatorze heures quinze"]),
        ("14:30", ["deux heures et demie", "deux heures trente"], ["quatorze heures trente"]),
        ("12:30", ["midi et demi", "midi trente"], ["midi trente"]),
        ("00:30", ["minuit et demi", "minuit trente"], ["zéro heure trente"]),
        (
            "14:45",
            ["trois heures moins le quart", "deux heures quarante-cinq"],
            ["quatorze heures quarante-cinq"],
        ),
        ("12:45", ["une heure moins le quart", "midi quarante-cinq"], None),
        ("11:45", ["midi moins le quart", "onze heures quarante-cinq"], None),
        ("23:50", ["minuit moins dix", "onze heures cinquante"], ["vingt-trois heures cinquante"]),
        ("14:35", ["trois heures moins vingt-cinq", "deux heures trente-cinq"], None),
        ("14:07", ["deux heures sept"], ["quatorze heures sept"]),
        ("14:37", ["deux heures trente-sept"], ["quatorze heures trente-sept"]),
        ("14:57", ["deux heures cinquante-sept", "trois heures moins trois"], None),
        ("14:01", ["deux heures et une minute", "deux heures une"], ["quatorze heures une"]),
        ("14:21", ["deux heures vingt et une"], ["quatorze heures vingt et une"]),
        ("11:59", ["onze heures cinquante-neuf", "midi moins une"], None),
    ],
)
def test_the_most_usual_idiom_comes_first(
    time: str, everyday: list[str], by_timetable: list[str] | None
) -> None:
    hour, minute = map(int, time.split(":"))
    told = {way: list(clock("fr", (way,)).idioms(hour, minute)) for way in clock("fr").manners}
    assert told["courant"] == everyday
    if by_timetable:
        assert told["officiel"] == by_timetable
    both = dict.fromkeys(told["courant"] + told["officiel"])
    assert clock("fr").idioms(hour, minute) == tuple(both)


def test_hours_and_minutes_agree_and_are_feminine() -> None:
    for hour, minute in MINUTES:
        for idiom in clock("fr").idioms(hour, minute):
            assert not re.search(
                r"\b(un|et un) heure|\bun$|(?<!et )\bune heures|\bzéro heures", idiom
            )
            assert not re.search(r"(?<!une|éro) heure\b", idiom), idiom
            assert ("et demie" in idiom) <= ("heure" in idiom)
            assert ("et demi" in idiom) <= (minute == 30)


@pytest.mark.parametrize(
    ("hour", "minute", "when", "shown"),
    [
        (13, 0, "à une heure", "il est une heure"),
        (14, 30, "à deux heures et demie", "il est deux heures et demie"),
        (12, 0, "à midi", "il est midi"),
        (0, 0, "à minuit", "il est minuit"),
        (11, 50, "à midi moins dix", "il est midi moins dix"),
    ],
)
def test_the_words_before_a_time(hour: int, minute: int, when: str, shown: str) -> None:
    assert clock("fr").at(hour, minute)[0] == when
    assert clock("fr").it_is(hour, minute)[0] == shown


def test_nothing_is_said_that_other_listeners_take_for_another_time() -> None:
    said = [idiom for hour, minute in MINUTES for idiom in clock("fr").idioms(hour, minute)]
    assert not [idiom for idiom in said if re.search(r"(?<!et|le) quart|trois quarts", idiom)]
    assert not [idiom for idiom in said if re.search(r"\b(vingt-quatre|douze) heures", idiom)]
    mixed = r"(douze|treize|quatorze|quinze|seize|dix-|vingt)\S*( et une)? heures (et|moins) "
    assert not [idiom for idiom in said if re.match(mixed, idiom)]


@pytest.mark.parametrize(
    ("to_go", "words"),
    [
        (0, ("dans moins d'une minute",)),
        (1, ("dans une minute",)),
        (2, ("dans deux minutes",)),
        (15, ("dans un quart d'heure", "dans quinze minutes")),
        (21, ("dans vingt et une minutes",)),
        (30, ("dans une demi-heure", "dans trente minutes")),
        (45, ("dans trois quarts d'heure", "dans quarante-cinq minutes")),
    ],
)
def test_minutes_to_go(to_go: int, words: tuple[str, ...]) -> None:
    assert clock("fr").within(to_go) == words
    assert clock("fr").minutes(to_go) == tuple(each.removeprefix("dans ") for each in words)


@pytest.mark.parametrize(
    ("hour", "same", "named"),
    [
        (0, (), ("demain",)),
        (1, ("ce matin",), ("demain", "demain matin")),
        (11, ("ce matin",), ("demain", "demain matin")),
        (12, (), ("demain",)),
        (13, ("cet après-midi",), ("demain", "demain après-midi")),
        (17, ("cet après-midi",), ("demain", "demain après-midi")),
        (18, ("ce soir",), ("demain", "demain soir")),
        (23, ("ce soir",), ("demain", "demain soir")),
    ],
)
def test_a_day_period_is_told_alone_today_and_with_the_day_on_others(
    hour: int, same: tuple[str, ...], named: tuple[str, ...]
) -> None:
    french = clock("fr")
    assert french.dayparts(at(hour, 30), at(9)) == same
    assert french.days(at(hour, 30), at(9)) == ("aujourd'hui",)
    assert french.dayparts(at(hour, 30, day=14), at(9)) == ()
    assert french.days(at(hour, 30, day=14), at(9)) == named


def test_at_night_nobody_hears_of_this_morning() -> None:
    assert clock("fr").dayparts(at(10), at(0, 40)) == ()
    assert clock("fr").dayparts(at(1), at(0, 40)) == ("ce matin",)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (13, "aujourd'hui"),
        (14, "demain"),
        (15, "lundi"),
        (19, "vendredi"),
        (20, "le vingt février"),
        (28, "le vingt-huit février"),
        (12, "le douze février"),
    ],
)
def test_days_are_named_so_that_nobody_comes_on_the_wrong_one(day: int, words: str) -> None:
    assert clock("fr").days(at(10, day=day), at(18))[0] == words
    assert clock("fr").days(at(12, day=day), at(18)) == (words,)


def test_the_first_of_a_month_is_an_ordinal() -> None:
    now = at(10, day=20)
    first, eighth = datetime(2027, 3, 1, 10), datetime(2027, 8, 8, 10)
    assert clock("fr").days(first.astimezone(), now) == ("le premier mars",)
    assert clock("fr").days(eighth.astimezone(), now) == ("le huit août",)


def heard(text: str) -> list[str]:
    """Each time that is heard: "14:30" of the whole day, "2:30" of the half day, "+5" from now."""
    found = []
    for told in times_told(text, "fr"):
        sign = "+" if told.counted == 0 else ""
        hour, minute = divmod(told.minutes, 60)
        whole = f"{hour:02}:{minute:02}" if told.counted == 1440 else f"{hour or 12}:{minute:02}"
        found.append(f"{sign}{told.minutes}" if sign else whole)
    return found


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("Venez à 14h30, à 14 h 30, à 14:30 ou à 14 heures 30.", ["14:30"] * 4),
        ("À 2h, à 02:30, à 2:30", ["2:00", "02:30", "2:30"]),
        ("À DEUX HEURES ET DEMIE", ["2:30"]),
        ("a deux heures et demie, a zero heure dix", ["2:30", "00:10"]),
        (f"deux heures{THIN}: midi\u00a0!", ["2:00", "12:00"]),
        ("vingt-et-une heures, vingt et une heures trente-et-une", ["21:00", "21:31"]),
        ("deux heures quart, trois heures moins quart, deux heures trois quarts", None),
        ("deux heures et demie de l’après-midi", ["14:30"]),
        ("huit heures du soir, une heure du matin", ["20:00", "01:00"]),
        ("demain après-midi, à trois heures", ["15:00"]),
        ("cette nuit à une heure, dans la soirée à neuf heures", ["01:00", "21:00"]),
        ("dimanche matin à dix heures et quart", ["10:15"]),
        ("midi et demie, minuit moins vingt", ["12:30", "23:40"]),
        (
            "dans deux heures, dans une heure et demie, pendant trois heures",
            ["+120", "+90", "+180"],
        ),
        ("une demi-heure, un quart d'heure, trois quarts d'heure", ["+30", "+15", "+45"]),
        ("dans cinq minutes, une petite minute, moins d'une minute", ["+5", "+1", "+0"]),
        ("deux heures. Quinze ressorts", ["2:00"]),
        ("cet après-midi, bon après-midi, l'avant-midi, bonsoir, à ce soir", []),
        ("à tout à l'heure, à la bonne heure, de bonne heure, à toute heure, les heures", []),
        ("tous les deux, à deux, trois fois, une fois, deux cents, les douze coups", []),
        ("quelle heure est-il, la nouvelle heure, une heureuse nouvelle", []),
        ("le vingt février, le premier mars, la dernière minute, quelques minutes", []),
        ("douze heures, douze heures trente", ["12:00", "12:30"]),
        ("25:10, 14:61, 30 h, trente heures", []),
        ("un quart de tour, un demi-tour, une demi-douzaine", []),
        ("", []),
    ],
)
def test_times_are_heard_where_a_listener_hears_them(text: str, times: list[str] | None) -> None:
    assert heard(text) == (["2:15", "2:45", "2:45"] if times is None else times)


def test_an_unknown_manner_is_named() -> None:
    with pytest.raises(WordingError, match="no 'belge' manner: courant, officiel"):
        clock("fr", ("belge",))
