"""Welsh as it is told at the stall: mutations, genders, counting by twenties, what is unsaid."""

import re
from collections.abc import Callable
from datetime import datetime

import pytest

from showtime.settings import shipped
from showtime.wording import (
    Bank,
    Kind,
    Mood,
    Situation,
    WordingError,
    clock,
    parse_bank,
    times_told,
)

Situations = Callable[..., Situation]
MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


@pytest.fixture(scope="module")
def text() -> str:
    return shipped("phrasebanks/cy.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def welsh(text: str) -> Bank:
    return parse_bank(text, "cy.yaml")


def at(hour: int, minute: int = 0, day: int = 13, month: int = 2) -> datetime:
    return datetime(2027, month, day, hour, minute).astimezone()


@pytest.mark.parametrize(
    ("time", "idioms"),
    [
        ("14:00", ("dau o'r gloch",)),
        ("14:05", ("pum munud wedi dau",)),
        ("14:10", ("deg munud wedi dau", "deng munud wedi dau")),
        ("14:11", ("un funud ar ddeg wedi dau",)),
        ("14:12", ("deuddeg munud wedi dau",)),
        ("14:15", ("chwarter wedi dau",)),
        ("14:20", ("ugain munud wedi dau",)),
        ("14:22", ("dwy funud ar hugain wedi dau",)),
        ("14:25", ("pum munud ar hugain wedi dau",)),
        ("14:30", ("hanner awr wedi dau",)),
        ("14:31", ("naw munud ar hugain i dri",)),
        ("14:35", ("pum munud ar hugain i dri",)),
        ("14:43", ("dwy funud ar bymtheg i dri",)),
        ("14:45", ("chwarter i dri",)),
        ("10:54", ("chwe munud i un ar ddeg",)),
        ("11:59", ("un funud i ddeuddeg",)),
        ("12:00", ("hanner dydd", "deuddeg o'r gloch", "canol dydd")),
        ("00:00", ("hanner nos", "canol nos")),
    ],
)
def test_the_most_usual_idiom_comes_first(time: str, idioms: tuple[str, ...]) -> None:
    assert clock("cy").idioms(*map(int, time.split(":"))) == idioms


@pytest.mark.parametrize(
    ("time", "when", "shown"),
    [
        ("13:00", "am un o'r gloch", "mae hi'n un o'r gloch"),
        ("14:00", "am ddau o'r gloch", "mae hi'n ddau o'r gloch"),
        ("15:00", "am dri o'r gloch", "mae hi'n dri o'r gloch"),
        ("16:00", "am bedwar o'r gloch", "mae hi'n bedwar o'r gloch"),
        ("18:00", "am chwech o'r gloch", "mae hi'n chwech o'r gloch"),
        ("14:05", "am bum munud wedi dau", "mae hi'n bum munud wedi dau"),
        ("14:15", "am chwarter wedi dau", "mae hi'n chwarter wedi dau"),
        ("14:58", "am ddwy funud i dri", "mae hi'n ddwy funud i dri"),
        ("14:30", "am hanner awr wedi dau", "mae hi'n hanner awr wedi dau"),
        ("12:00", "am hanner dydd", "mae hi'n hanner dydd"),
    ],
)
def test_am_and_yn_soften_and_wedi_does_not(time: str, when: str, shown: str) -> None:
    hour, minute = map(int, time.split(":"))
    assert clock("cy").at(hour, minute)[0] == when
    assert clock("cy").it_is(hour, minute)[0] == shown


def test_i_softens_every_hour_and_wedi_none() -> None:
    hours = "un, ddau, dri, bedwar, bump, chwech, saith, wyth, naw, ddeg, un ar ddeg, ddeuddeg"
    for hour, softened in enumerate(hours.split(", "), start=1):
        assert clock("cy").idioms((hour - 1) % 24, 45) == (f"chwarter i {softened}",)
    for hour, minute in MINUTES:
        for said in clock("cy").idioms(hour, minute):
            assert not re.search(r"wedi (dd|dri|bedwar|bump)", said), said
            assert not re.search(r"\bi (d[aeu]|tri|pedwar|pump)", said), said


def test_minutes_are_of_the_gender_that_the_manner_gives_them() -> None:
    south, north = clock("cy", ("southern",)), clock("cy", ("northern",))
    for number, southern, northern in (
        (1, "un funud", "un munud"),
        (2, "dwy funud", "dau funud"),
        (3, "tair munud", "tri munud"),
        (4, "pedair munud", "pedwar munud"),
        (5, "pum munud", "pum munud"),
        (14, "pedair munud ar ddeg", "pedwar munud ar ddeg"),
        (22, "dwy funud ar hugain", "dau funud ar hugain"),
        (32, "tri deg dau o funudau", "tri deg dau o funudau"),
        (50, "pum deg munud", "pum deg munud"),
    ):
        assert south.minutes(number)[0] == southern
        assert north.minutes(number)[0] == northern
    assert clock("cy").minutes(2) == south.minutes(2)
    assert clock("cy", ("northern", "southern")).minutes(2) == ("dau funud", "dwy funud")


@pytest.mark.parametrize(
    ("to_go", "within"),
    [
        (0, ("mewn llai na munud", "ymhen llai na munud")),
        (2, ("mewn dwy funud", "ymhen dwy funud")),
        (5, ("mewn pum munud", "ymhen pum munud")),
        (15, ("mewn pymtheg munud", "mewn chwarter awr")),
        (30, ("mewn deg munud ar hugain", "mewn deng munud ar hugain", "mewn hanner awr")),
    ],
)
def test_mewn_and_ymhen_do_not_mutate(to_go: int, within: tuple[str, ...]) -> None:
    assert clock("cy").within(to_go)[: len(within)] == within


@pytest.mark.parametrize(
    ("hour", "minute", "parts"),
    [
        (0, 0, ()),
        (0, 30, ()),
        (1, 0, ("y bore yma", "y bore")),
        (11, 59, ("y bore yma", "y bore")),
        (12, 0, ()),
        (12, 30, ("y prynhawn yma", "y prynhawn")),
        (17, 59, ("y prynhawn yma", "y prynhawn")),
        (18, 0, ("heno", "yr hwyr")),
        (23, 59, ("heno", "yr hwyr")),
    ],
)
def test_day_periods_follow_the_time(hour: int, minute: int, parts: tuple[str, ...]) -> None:
    assert clock("cy").dayparts(at(hour, minute), at(9)) == parts
    assert clock("cy").dayparts(at(hour, minute), at(9, day=12)) == parts[1:]


@pytest.mark.parametrize(
    ("day", "month", "words"),
    [
        (13, 2, "heddiw"),
        (14, 2, "yfory"),
        (15, 2, "ddydd Llun"),
        (17, 2, "ddydd Mercher"),
        (20, 2, "ar yr ugeinfed o Chwefror"),
        (1, 3, "ar y cyntaf o Fawrth"),
        (2, 5, "ar yr ail o Fai"),
        (21, 7, "ar yr unfed ar hugain o Orffennaf"),
        (8, 11, "ar yr wythfed o Dachwedd"),
        (31, 12, "ar yr unfed ar ddeg ar hugain o Ragfyr"),
    ],
)
def test_days_are_named_with_their_mutations(day: int, month: int, words: str) -> None:
    assert clock("cy").days(at(10, day=day, month=month), at(18)) == (words,)


@pytest.mark.parametrize(
    ("text", "hour", "minute"),
    [
        ("Bydda i'n chwarae am 14:30.", 14, 30),
        ("am ddau.", 14, 0),
        ("am ddau yfory", 14, 0),
        ("am un ar ddeg y bore", 11, 0),
        ("am hanner awr wedi dau o’r gloch", 14, 30),
        ("am hanner awr wedi dau y prynhawn", 14, 30),
        ("heno am chwarter i naw", 20, 45),
        ("yn y bore, am ddeg o'r gloch", 10, 0),
        ("am ddau funud i dri", 14, 58),
        ("mae hi'n bum munud ar hugain i bedwar", 15, 35),
        ("am ganol dydd", 12, 0),
        ("hanner nos", 0, 0),
        ("pum munud i hanner nos", 23, 55),
        ("am un ar ddeg o'r gloch y nos", 23, 0),
        ("am ddau o'r gloch ar y dot", 14, 0),
    ],
)
def test_the_reader_hears_more_than_the_program_says(text: str, hour: int, minute: int) -> None:
    (told,) = times_told(text, "cy")
    assert told.means(at(hour, minute), at(0)), told
    assert not told.means(at(hour, (minute + 1) % 60), at(0))


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("mewn hanner awr", 30),
        ("ymhen tri chwarter awr", 45),
        ("mewn munud", 1),
        ("mewn 5 munud", 5),
        ("mewn awr", 60),
        ("mewn dau ddeg pum munud", 25),
        ("ymhen deugain munud", 40),
        ("mewn llai na munud", 0),
    ],
)
def test_the_reader_hears_minutes_to_go(text: str, minutes: int) -> None:
    (told,) = times_told(text, "cy")
    assert told.minutes == minutes


@pytest.mark.parametrize(
    "text",
    [
        "Diolch am ofyn, ac am un arall.",
        "Wn i ddim faint o'r gloch yw hi.",
        "Rydw i yng nghanol y gân.",
        "Mae dau beth i'w dweud wrth y ddau.",
        "Yr un olaf heddiw.",
        "Roedd yr hanner cyntaf yn dda.",
        "Y Tri Gellygen",
    ],
)
def test_the_reader_hears_no_time_where_none_is_told(text: str) -> None:
    assert times_told(text, "cy") == ()


def test_no_word_that_mutates_stands_before_a_filling(text: str) -> None:
    """<time>, <minutes> and names come unmutated: "am", "i", "o", "ar", "tan" would change them."""
    words = "am|i|o|ar|at|tan|dan|dros|drwy|heb|hyd|gan|wrthi|dau|dwy|ei|fy|dy|a|â|yn"
    fillings = "time|minutes|told_when|figure|piece|stall"
    found = re.findall(rf"(?<![\w'])(?:{words}) <(?:{fillings})>", text)
    assert found == []


def test_known_mutations_of_the_bank_stand(welsh: Bank, asked: Situations) -> None:
    """ "Fy" makes a nasal of p, t, c and g; "yn" softens "tynn" and "cynnes" (from memory)."""
    for kind in Kind:
        for time in ("14:30", None):
            for _, said in welsh.samples(asked(kind, time, moods=frozenset(Mood)), 60):
                assert not re.search(r"\bfy (p|t|c[^h]|g|b|d)", said.lower()), said
                assert not re.search(r"(?<=[aeiouwy])'n (tynn|cynnes|parod|byw)\b", said), said
                assert not re.search(r"\bpeidiwch â c[^h]", said.lower()), said


@pytest.mark.parametrize("manner", ["southern", "northern"])
def test_a_bank_may_keep_to_one_manner(text: str, asked: Situations, manner: str) -> None:
    bank = parse_bank(text.replace("clock: southern", f"clock: {manner}"), "cy.yaml")
    for _, said in bank.samples(asked(Kind.NEXT, "14:22", moods=frozenset(Mood)), 60):
        assert (re.search("d?dwy funud", said.lower()) is not None) is (manner == "southern")
        assert (re.search("d?dau funud", said.lower()) is not None) is (manner == "northern")


def test_an_unknown_manner_is_named() -> None:
    with pytest.raises(WordingError, match="Welsh has no 'patagonian' manner"):
        clock("cy", ("patagonian",))
