"""Spanish as it is told at the stall: agreement, three manners, and what is left unsaid."""

import re
from datetime import datetime

import pytest

from showtime.wording import WordingError, clock, times_told

MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2027, 2, day, hour, minute).astimezone()


@pytest.mark.parametrize(
    ("time", "peninsular", "american", "by_24_hours"),
    [
        ("14:00", ["las dos"], ["las dos"], ["las catorce horas"]),
        ("13:00", ["la una"], ["la una"], ["las trece horas"]),
        ("01:00", ["la una"], ["la una"], ["la una"]),
        ("21:00", ["las nueve"], ["las nueve"], ["las veintiuna horas"]),
        (
            "14:30",
            ["las dos y media", "las dos treinta"],
            ["las dos y media", "las dos treinta"],
            ["las catorce treinta", "las catorce horas y treinta"],
        ),
        (
            "12:45",
            ["la una menos cuarto", "las doce cuarenta y cinco"],
            ["un cuarto para la una", "las doce y cuarenta y cinco", "las doce cuarenta y cinco"],
            ["las doce cuarenta y cinco", "las doce y cuarenta y cinco"],
        ),
        (
            "14:50",
            ["las tres menos diez", "las dos cincuenta"],
            ["diez para las tres", "las dos y cincuenta", "las dos cincuenta"],
            ["las catorce cincuenta", "las catorce horas y cincuenta"],
        ),
        (
            "14:07",
            ["las dos y siete", "las dos y siete minutos"],
            ["las dos y siete", "las dos y siete minutos"],
            ["las catorce cero siete", "las catorce horas y siete minutos"],
        ),
        (
            "14:39",
            ["las tres menos veintiuno", "las tres menos veintiún minutos"],
            ["veintiuno para las tres", "veintiún minutos para las tres"],
            ["las catorce treinta y nueve"],
        ),
        ("14:59", ["las tres menos un minuto"], ["un minuto para las tres"], None),
        ("14:01", ["las dos y un minuto"], ["las dos y un minuto"], None),
        ("12:15", ["las doce y cuarto", "las doce quince"], ["las doce y cuarto"], None),
        (
            "12:00",
            ["las doce del mediodía", "las doce"],
            ["las doce del mediodía", "las doce"],
            ["las doce del mediodía"],
        ),
        (
            "00:00",
            ["medianoche", "las doce de la noche"],
            ["medianoche", "las doce de la noche"],
            ["las cero horas"],
        ),
    ],
)
def test_the_most_usual_idiom_comes_first(
    time: str, peninsular: list[str], american: list[str], by_24_hours: list[str] | None
) -> None:
    hour, minute = map(int, time.split(":"))
    told = {way: list(clock("es", (way,)).idioms(hour, minute)) for way in clock("es").manners}
    assert told["peninsular"][: len(peninsular)] == peninsular
    assert told["american"][: len(american)] == american
    if by_24_hours:
        assert told["24-hour"][: len(by_24_hours)] == by_24_hours
    assert list(clock("es").idioms(hour, minute)) == told["peninsular"]


@pytest.mark.parametrize(
    ("hour", "minute", "manner", "when", "shown"),
    [
        (13, 0, "peninsular", "a la una", "es la una"),
        (13, 30, "peninsular", "a la una y media", "es la una y media"),
        (12, 50, "peninsular", "a la una menos diez", "es la una menos diez"),
        (14, 0, "peninsular", "a las dos", "son las dos"),
        (0, 0, "peninsular", "a medianoche", "es medianoche"),
        (12, 0, "peninsular", "a las doce del mediodía", "son las doce del mediodía"),
        (
            14,
            50,
            "american",
            "cuando falten diez para las tres",
            "faltan diez para las tres",
        ),
        (12, 45, "american", "cuando falte un cuarto para la una", "falta un cuarto para la una"),
        (21, 0, "24-hour", "a las veintiuna horas", "son las veintiuna horas"),
    ],
)
def test_verbs_articles_and_prepositions_agree_with_the_hour(
    hour: int, minute: int, manner: str, when: str, shown: str
) -> None:
    spanish = clock("es", (manner,))
    assert spanish.at(hour, minute)[0] == when
    assert spanish.it_is(hour, minute)[0] == shown


def test_every_hour_has_its_article_and_its_verb() -> None:
    for manner in clock("es").manners:
        spanish = clock("es", (manner,))
        for hour, minute in MINUTES:
            for said in spanish.it_is(hour, minute):
                assert re.match(
                    r"es (la una|medianoche)\b|son las |falta un |faltan (?!un )", said
                ), said
            for said in spanish.at(hour, minute):
                assert re.match(
                    r"a (la una|las|medianoche)\b|cuando falte un |cuando falten ", said
                ), said
                assert "las una " not in f"{said} "


def test_nothing_is_said_that_listeners_take_for_another_time() -> None:
    """ "Diez y seis" sounds like sixteen, "veinte y uno" like twenty-one, "a las dos horas" is
    two hours from now, and "mediodía" is lunchtime to half of Spain."""
    for manner in clock("es").manners:
        spanish = clock("es", (manner,))
        for hour, minute in MINUTES:
            for said in (*spanish.idioms(hour, minute), *spanish.at(hour, minute)):
                assert not re.search(r"diez y (seis|siete|ocho|nueve)(?! minutos)", said), said
                assert not re.search(r"veinte y \w+", said), said
                assert not re.search(r"las (dos|tres|once|doce) horas", said), said
                assert not re.fullmatch(r"(al? )?mediodía", said), said
                assert not re.match(r"a \w+ para ", said), said
    assert "las doce" not in clock("es").idioms(0, 0)


@pytest.mark.parametrize(
    ("to_go", "words", "within"),
    [
        (0, ("menos de un minuto",), ("en menos de un minuto",)),
        (1, ("un minuto",), ("en un minuto", "dentro de un minuto")),
        (5, ("cinco minutos",), ("en cinco minutos", "dentro de cinco minutos")),
        (21, ("veintiún minutos",), None),
        (31, ("treinta y un minutos",), None),
        (15, ("quince minutos", "un cuarto de hora"), None),
        (30, ("treinta minutos", "media hora"), None),
        (45, ("cuarenta y cinco minutos", "tres cuartos de hora"), None),
    ],
)
def test_minutes_to_go_are_counted_before_their_noun(
    to_go: int, words: tuple[str, ...], within: tuple[str, ...] | None
) -> None:
    assert clock("es").minutes(to_go) == words
    assert within is None or clock("es").within(to_go) == within


@pytest.mark.parametrize(
    ("hour", "minute", "part"),
    [
        (0, 30, None),
        (1, 0, "de la madrugada"),
        (5, 59, "de la madrugada"),
        (6, 0, "de la mañana"),
        (11, 59, "de la mañana"),
        (12, 30, None),
        (13, 0, "de la tarde"),
        (19, 59, "de la tarde"),
        (20, 0, "de la noche"),
        (23, 59, "de la noche"),
    ],
)
def test_day_periods_follow_the_time(hour: int, minute: int, part: str | None) -> None:
    assert clock("es").dayparts(at(hour, minute), at(9)) == ((part,) if part else ())
    assert clock("es", ("24-hour",)).dayparts(at(hour, minute), at(9)) == ()


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (13, "hoy"),
        (14, "mañana"),
        (15, "el lunes"),
        (17, "el miércoles"),
        (20, "el veinte de febrero"),
        (22, "el veintidós de febrero"),
    ],
)
def test_days_are_named(day: int, words: str) -> None:
    assert clock("es").days(at(10, day=day), at(18)) == (words,)


@pytest.mark.parametrize(
    ("text", "hour", "minute"),
    [
        ("Toco a las 14:30.", 14, 30),
        ("a las 14.30 h", 14, 30),
        ("a las 14h30", 14, 30),
        ("a las 14 h", 14, 0),
        ("a las 2:30 p. m.", 14, 30),
        ("a las dos y media de la tarde", 14, 30),
        ("esta tarde a las dos y media", 14, 30),
        ("a las dos, por la tarde", 14, 0),
        ("¡a las tres menos veinticinco!", 14, 35),
        ("faltan veinte para las tres", 14, 40),
        ("cuarto para las tres", 14, 45),
        ("las veintidós treinta y cinco", 22, 35),
        ("a las quince horas", 15, 0),
        ("al mediodía", 12, 0),
        ("las doce y media de la mañana", 12, 30),
        ("las doce y media de la noche", 0, 30),
        ("medianoche", 0, 0),
        ("la una de la madrugada", 1, 0),
        ("hasta las ocho.", 20, 0),
        ("mañana a las dos", 14, 0),
        ("a las diez y cuarto", 22, 15),
    ],
)
def test_the_reader_hears_more_than_the_program_says(text: str, hour: int, minute: int) -> None:
    (told,) = times_told(text, "es")
    assert told.means(at(hour, minute), at(0)), told
    assert not told.means(at(hour, (minute + 1) % 60), at(0))


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("en media hora", 30),
        ("dentro de tres cuartos de hora", 45),
        ("en un cuarto de hora", 15),
        ("en 5 minutos", 5),
        ("en menos de un minuto", 0),
        ("dentro de treinta y un minutos", 31),
        ("dentro de una hora", 60),
    ],
)
def test_the_reader_hears_minutes_to_go(text: str, minutes: int) -> None:
    (told,) = times_told(text, "es")
    assert told.minutes == minutes


@pytest.mark.parametrize(
    "text",
    [
        "Las dos orquestas y la una y la otra.",
        "El baile de las tres peras",
        "Vuelva mañana por la mañana.",
        "a última hora",
        "la hora de la verdad",
        "Los Siete Enanos",
        "Una media naranja y un cuarto de kilo.",
        "de la noche a la mañana",
        "Un momento, por favor.",
    ],
)
def test_the_reader_hears_no_time_where_none_is_told(text: str) -> None:
    assert times_told(text, "es") == ()


def test_an_unknown_manner_is_named() -> None:
    with pytest.raises(WordingError, match="Spanish has no 'british' manner"):
        clock("es", ("british",))
