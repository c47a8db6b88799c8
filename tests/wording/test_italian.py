"""Italian as it is told at the stall: agreement, three manners, and what is left unsaid."""

import re
from datetime import datetime

import pytest

from showtime.wording import WordingError, clock, times_told

MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2027, 2, day, hour, minute).astimezone()


@pytest.mark.parametrize(
    ("time", "everyday", "by_timetable"),
    [
        ("14:00", ["le due"], ["le quattordici"]),
        ("13:00", ["l'una"], ["le tredici"]),
        ("01:00", ["l'una"], ["l'una"]),
        ("21:00", ["le nove"], ["le ventuno"]),
        ("23:00", ["le undici"], ["le ventitré"]),
        ("12:00", ["mezzogiorno", "le dodici"], ["le dodici"]),
        ("00:00", ["mezzanotte"], ["mezzanotte"]),
        ("14:15", ["le due e un quarto", "le due e quindici"], ["le quattordici e quindici"]),
        ("14:30", ["le due e mezza", "le due e trenta"], ["le quattordici e trenta"]),
        ("13:30", ["l'una e mezza", "l'una e trenta"], ["le tredici e trenta"]),
        ("12:30", ["mezzogiorno e mezzo", "mezzogiorno e trenta"], ["le dodici e trenta"]),
        ("00:30", ["mezzanotte e mezza", "mezzanotte e trenta"], ["le zero e trenta"]),
        ("14:45", ["le tre meno un quarto", "le due e quarantacinque"], None),
        ("12:45", ["l'una meno un quarto", "mezzogiorno e quarantacinque"], None),
        ("11:45", ["mezzogiorno meno un quarto", "le undici e quarantacinque"], None),
        ("23:50", ["mezzanotte meno dieci", "le undici e cinquanta"], None),
        ("14:35", ["le due e trentacinque", "le tre meno venticinque"], None),
        ("14:40", ["le tre meno venti", "le due e quaranta"], ["le quattordici e quaranta"]),
        ("14:07", ["le due e sette"], ["le quattordici e sette"]),
        ("14:37", ["le due e trentasette"], ["le quattordici e trentasette"]),
        ("14:57", ["le due e cinquantasette", "le tre meno tre"], None),
        ("14:01", ["le due e un minuto"], ["le quattordici e un minuto"]),
        ("14:59", ["le due e cinquantanove", "le tre meno un minuto"], None),
        ("14:23", ["le due e ventitré"], ["le quattordici e ventitré"]),
        ("20:02", ["le otto e due"], ["le venti e due minuti"]),
        ("20:05", ["le otto e cinque"], ["le venti e cinque"]),
    ],
)
def test_the_most_usual_idiom_comes_first(
    time: str, everyday: list[str], by_timetable: list[str] | None
) -> None:
    hour, minute = map(int, time.split(":"))
    told = {way: list(clock("it", (way,)).idioms(hour, minute)) for way in clock("it").manners}
    assert told["corrente"] == everyday
    if by_timetable:
        assert told["ufficiale"] == by_timetable
    both = dict.fromkeys(told["corrente"] + told["ufficiale"])
    assert clock("it").idioms(hour, minute) == tuple(both)


@pytest.mark.parametrize(
    ("hour", "minute", "idiom"),
    [
        (14, 30, "le due e mezzo"),
        (12, 30, "mezzogiorno e mezza"),
        (14, 45, "le due e tre quarti"),
        (12, 45, "mezzogiorno e tre quarti"),
        (14, 15, "le due e un quarto"),
    ],
)
def test_some_regions_tell_halves_and_quarters_in_their_own_way(
    hour: int, minute: int, idiom: str
) -> None:
    assert clock("it", ("regionale",)).idioms(hour, minute)[0] == idiom
    both = clock("it", ("corrente", "regionale")).idioms(hour, minute)
    assert set(both) >= {idiom, clock("it").idioms(hour, minute)[0]}


@pytest.mark.parametrize(
    ("hour", "minute", "when", "shown"),
    [
        (14, 0, "alle due", "sono le due"),
        (13, 0, "all'una", "è l'una"),
        (13, 30, "all'una e mezza", "è l'una e mezza"),
        (12, 50, "all'una meno dieci", "è l'una meno dieci"),
        (12, 0, "a mezzogiorno", "è mezzogiorno"),
        (12, 30, "a mezzogiorno e mezzo", "è mezzogiorno e mezzo"),
        (0, 0, "a mezzanotte", "è mezzanotte"),
        (23, 45, "a mezzanotte meno un quarto", "è mezzanotte meno un quarto"),
    ],
)
def test_verbs_articles_and_prepositions_agree_with_the_hour(
    hour: int, minute: int, when: str, shown: str
) -> None:
    assert clock("it").at(hour, minute)[0] == when
    assert clock("it").it_is(hour, minute)[0] == shown


def test_every_time_has_its_preposition_and_its_verb() -> None:
    for manner in clock("it").manners:
        italian = clock("it", (manner,))
        for hour, minute in MINUTES:
            for said in italian.at(hour, minute):
                assert re.match(r"alle (?!una)|all'una\b|a mezz(ogiorno|anotte)\b", said), said
            for said in italian.it_is(hour, minute):
                assert re.match(r"sono le |è l'una\b|è mezz(ogiorno|anotte)\b", said), said


def test_nothing_is_said_that_listeners_take_for_another_time() -> None:
    for manner in clock("it").manners:
        for hour, minute in MINUTES:
            for idiom in clock("it", (manner,)).idioms(hour, minute):
                assert not re.search(r" alle | all'| ventiquattro$(?<! e ventiquattro)", idiom)
                assert not re.search(r"\bventi e (due|tre|quattro)$", idiom), idiom
                if "dodici" in idiom.split(" e ")[0]:
                    assert hour == 12


@pytest.mark.parametrize(
    ("to_go", "words"),
    [
        (0, ("tra meno di un minuto", "fra meno di un minuto")),
        (1, ("tra un minuto", "fra un minuto")),
        (3, ("fra tre minuti",)),
        (15, ("tra un quarto d'ora", "fra un quarto d'ora", "tra quindici minuti")),
        (28, ("tra ventotto minuti", "fra ventotto minuti")),
        (30, ("tra mezz'ora", "fra mezz'ora", "fra trenta minuti")),
        (45, ("fra tre quarti d'ora", "tra quarantacinque minuti")),
    ],
)
def test_minutes_to_go(to_go: int, words: tuple[str, ...]) -> None:
    assert clock("it").within(to_go)[: len(words)] == words
    for said in clock("it").within(to_go):
        assert not said.startswith("tra tr"), said
        assert said[4:] in clock("it").minutes(to_go)


@pytest.mark.parametrize(
    ("hour", "same", "named"),
    [
        (0, (), ("domani",)),
        (1, ("questa notte", "stanotte"), ("domani",)),
        (5, ("questa notte", "stanotte"), ("domani",)),
        (6, ("questa mattina", "stamattina"), ("domani", "domani mattina")),
        (11, ("questa mattina", "stamattina"), ("domani", "domani mattina")),
        (12, (), ("domani",)),
        (13, ("oggi pomeriggio", "questo pomeriggio"), ("domani", "domani pomeriggio")),
        (17, ("oggi pomeriggio", "questo pomeriggio"), ("domani", "domani pomeriggio")),
        (18, ("questa sera", "stasera"), ("domani", "domani sera")),
        (23, ("questa sera", "stasera"), ("domani", "domani sera")),
    ],
)
def test_a_day_period_is_told_alone_today_and_with_the_day_on_others(
    hour: int, same: tuple[str, ...], named: tuple[str, ...]
) -> None:
    italian = clock("it")
    assert italian.dayparts(at(hour, 30), at(9)) == same
    assert italian.days(at(hour, 30), at(9)) == ("oggi",)
    assert italian.dayparts(at(hour, 30, day=14), at(9)) == ()
    assert italian.days(at(hour, 30, day=14), at(9)) == named


def test_at_night_nobody_hears_of_this_morning() -> None:
    assert clock("it").dayparts(at(10), at(0, 40)) == ()
    assert clock("it").dayparts(at(1), at(0, 40)) == ("questa notte", "stanotte")


@pytest.mark.parametrize(
    ("month", "day", "words"),
    [
        (2, 13, "oggi"),
        (2, 14, "domani"),
        (2, 15, "lunedì"),
        (2, 19, "venerdì"),
        (2, 20, "il venti febbraio"),
        (3, 1, "il primo marzo"),
        (3, 8, "l'otto marzo"),
        (3, 11, "l'undici marzo"),
        (3, 21, "il ventuno marzo"),
        (2, 12, "il dodici febbraio"),
    ],
)
def test_days_are_named_so_that_nobody_comes_on_the_wrong_one(
    month: int, day: int, words: str
) -> None:
    for hour in (12, 10):
        names = clock("it").days(datetime(2027, month, day, hour).astimezone(), at(18))
        assert names[0] == words
        assert len(names) == 1 + (hour == 10 and words in ("domani", "lunedì", "venerdì"))


def heard(text: str) -> list[str]:
    """Each time that is heard: "14:30" of the whole day, "2:30" of the half day, "+5" from now."""
    found = []
    for told in times_told(text, "it"):
        hour, minute = divmod(told.minutes, 60)
        if told.counted == 0:
            found.append(f"+{told.minutes}")
        else:
            whole = told.counted == 1440
            found.append(f"{hour:02}:{minute:02}" if whole else f"{hour or 12}:{minute:02}")
    return found


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("Venite alle 14:30, alle 14.30, alle 14 e 30 o alle ore 14 e trenta.", ["14:30"] * 4),
        ("ore 14, h 14, ore quattordici, alle 2", ["14:00", "14:00", "14:00", "2:00"]),
        ("ALLE DUE E MEZZA", ["2:30"]),
        ("alle ventitré, alle ventitre", ["23:00", "23:00"]),
        ("dieci alle tre, un quarto alle tre, cinque a mezzogiorno", ["2:50", "2:45", "11:55"]),
        ("dalle due alle quattro", ["2:00", "4:00"]),
        ("le due e mezza del pomeriggio, le otto di sera", ["14:30", "20:00"]),
        ("domani pomeriggio, alle tre", ["15:00"]),
        ("stanotte all’una, in serata alle nove", ["01:00", "21:00"]),
        ("domenica mattina alle dieci e un quarto", ["10:15"]),
        ("questa notte è l'una, domani alle undici di notte", ["01:00", "23:00"]),
        ("mezzogiorno e mezza, mezzanotte meno venti, mezzodì", ["12:30", "23:40", "12:00"]),
        ("le due precise, le due in punto, le due domani", ["2:00"] * 3),
        ("fra due ore, un'ora e mezza, due ore e un quarto", ["+120", "+90", "+135"]),
        ("mezz'ora, un quarto d'ora, tre quarti d'ora", ["+30", "+15", "+45"]),
        ("tra cinque minuti, un minuto, meno di un minuto", ["+5", "+1", "+0"]),
        ("le due. E mezza porzione", ["2:00"]),
        ("le due sorelle, le tre grazie, le quattro stagioni, le sette note", []),
        ("l'una e l'altra, l'una o l'altra, una di voi, i due amici", []),
        ("buon pomeriggio, buona sera, questo pomeriggio, di notte, stasera", []),
        ("l'ora giusta, che ore sono, le ore piccole, alla buon'ora, quest'ora", []),
        ("il venti febbraio, l'otto marzo, l'ultimo minuto, qualche minuto", []),
        ("due volte, trenta persone, un vento forte, ventose e trentine", []),
        ("25:10, 14.61, 12.50 euro, alle trenta", []),
        ("in mezzo alla folla, un quarto di giro, mezza porzione", []),
        ("", []),
    ],
)
def test_times_are_heard_where_a_listener_hears_them(text: str, times: list[str]) -> None:
    assert heard(text) == times


def test_an_unknown_manner_is_named() -> None:
    with pytest.raises(WordingError, match="no 'lombardo' manner: corrente, ufficiale, regionale"):
        clock("it", ("lombardo",))
