"""Dutch as it is told at the stall: half hours, manners, capitals, and what is left unsaid."""

import re
from collections.abc import Callable
from datetime import datetime

import pytest

from showtime.settings import shipped
from showtime.voice import EmbeddedVoice
from showtime.wording import Bank, Kind, Situation, WordingError, clock, parse_bank, times_told

Situations = Callable[..., Situation]
MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


@pytest.fixture(scope="module")
def text() -> str:
    return shipped("phrasebanks/nl.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def dutch(text: str) -> Bank:
    return parse_bank(text, "nl.yaml")


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


def heard(text: str) -> list[str]:
    """Each time that is heard: "14:30" of the whole day, "2:30" of the half day, "+5" from now."""
    found = []
    for told in times_told(text, "nl"):
        hour, minute = divmod(told.minutes, 60)
        whole = f"{hour:02}:{minute:02}" if told.counted == 1440 else f"{hour or 12}:{minute:02}"
        found.append(whole if told.counted else f"+{told.minutes}")
    return found


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("Kom om half drie, of om kwart voor drie.", ["2:30", "2:45"]),
        ("14:30, 14.30 uur, 14u30, 14 u 30, 14 uur 30", ["14:30"] * 5),
        ("om 2:30 uur, om 02:30 uur, om 2 uur, om 2u", ["2:30", "02:30", "2:00", "2:00"]),
        ("half 3, vijf voor half 3, kwart over 2", ["2:30", "2:25", "2:15"]),
        ("kwart na twee, twintig na twee, vijf na half drie", ["2:15", "2:20", "2:35"]),
        ("zeven minuten over twee, één over twee", ["2:07", "2:01"]),
        ("Eén uur! Eén voor één. ÉÉN UUR", ["1:00", "12:59", "1:00"]),
        ("half een, om half één. Kwart voor een.", ["12:30", "12:30", "12:45"]),
        ("half een beest en half een machine, half zo oud", []),
        ("om een uur, rond een uur", ["1:00", "1:00"]),
        ("een uur lang, over een uur, over één uur, nog twee uur", ["+60", "+60", "+60", "+120"]),
        ("om drie. Om twee, om vier precies", ["3:00", "2:00", "4:00"]),
        ("om twee mensen, om een hoekje, om de hoek", []),
        ("om twaalf uur een lied", ["12:00"]),
        ("veertien uur en zeven minuten, veertien uur nul zeven", ["14:07"] * 2),
        ("middernacht, tien over middernacht, vijf voor middernacht", ["00:00", "00:10", "23:55"]),
        ("twaalf uur 's middags, twaalf uur 's nachts", ["12:00", "00:00"]),
        ("rond het middaguur", ["12:00"]),
        ("goedemiddag, vanmiddag, elke avond, 's ochtends vroeg", []),
        ("vanmiddag om half drie, om half drie ’s middags", ["14:30", "14:30"]),
        ("morgenochtend om acht uur, zondagmiddag om drie uur", ["08:00", "15:00"]),
        ("elf uur 's nachts, twee uur 's nachts", ["23:00", "02:00"]),
        ("half twaalf 's middags, half één 's middags", ["11:30", "12:30"]),
        ("twaalf uur 's avonds, zeven uur 's avonds", ["00:00", "19:00"]),
        ("vierentwintig uur, 24 uur, nul uur vijf", ["00:00", "00:00", "00:05"]),
        ("25 uur, 14:75", []),
        ("op 13.02.2027, in het jaar 2027", []),
        ("over vijf minuten, over één minuut, 5 minuten, 5 min", ["+5", "+1", "+5", "+5"]),
        (
            "een kwartier, over een half uur, een halfuur, anderhalf uur",
            ["+15", "+30", "+30", "+90"],
        ),
        ("drie kwartier, minder dan een minuut, binnen een minuut", ["+45", "+0", "+0"]),
        ("geen minuut later, een paar minuten", []),
        ("een uurwerk, twee uurwerken, uren, nog een keer", []),
        ("een voor een de trap op, drie van de vijf, tien tegen één dat", []),
        ("", []),
    ],
)
def test_times_are_heard_where_a_listener_hears_them(text: str, times: list[str]) -> None:
    assert heard(text) == times


def test_a_bank_may_keep_to_one_manner(text: str, asked: Situations) -> None:
    said = {}
    for way in clock("nl").manners:
        bank = parse_bank(text.replace("clock: standard", f"clock: {way}"), "nl.yaml")
        sentences = bank.sentences(asked(Kind.NEXT, "14:15"), 2000)
        said[way] = " ".join(sentences).lower()
    idioms = {"standard": "kwart over twee", "flemish": "kwart na twee", "24-hour": "veertien uur"}
    for way, idiom in idioms.items():
        assert [manner for manner in said if idiom in said[manner]] == [way]


@pytest.mark.parametrize(
    ("template", "start", "written"),
    [
        ("<daypart> <at_time>", "14:30", "'s Middags om half drie."),
        ("<at_time> <daypart>", "14:30", "Om half drie 's middags."),
        ("ijzer rust niet, <at_time>", "14:30", "IJzer rust niet, om half drie."),
        ("<time>", "13:01", "Eén over één."),
        ("kijk! <at_time>", "13:00", "Kijk! Om één uur."),
    ],
)
def test_sentences_begin_as_dutch_is_written(
    bank_text: Callable[..., str], asked: Situations, template: str, start: str, written: str
) -> None:
    """Onze Taal's and the Taalunie's advice, from memory: "'s Middags", "IJzer", "Eén"."""
    small = bank_text({Kind.NEXT: [f"{template}.", "om <time>!"]}).replace(
        "language: en", "language: nl"
    )
    bank = parse_bank(small, "nl.yaml")
    said = list(bank.sentences(asked(Kind.NEXT, start, minutes_before=24 * 60), 20))
    assert written in said


def test_a_change_comes_with_an_apology(dutch: Bank, asked: Situations) -> None:
    sorry = re.compile("spijt|excuses|vergeef|vergeving|kwalijk", re.IGNORECASE)
    for situation in (asked(Kind.CHANGED, "14:30"), asked(Kind.CALLED_OFF)):
        for sentence in dutch.sentences(situation, 2000):
            assert sorry.search(sentence), sentence


def test_visitors_are_addressed_with_the_same_courtesy_throughout(
    dutch: Bank, asked: Situations
) -> None:
    familiar = re.compile(r"\b(je|jij|jou|jouw|jullie)\b", re.IGNORECASE)
    for kind, start in ((Kind.NEXT, "14:30"), (Kind.CALL, "14:30"), (Kind.LATE, None)):
        for sentence in dutch.sentences(asked(kind, start, minutes_before=5), 1500):
            assert not familiar.search(sentence), sentence


def test_a_time_is_never_told_after_a_word_that_makes_it_a_length_of_time(
    dutch: Bank, asked: Situations
) -> None:
    """ "over twaalf uur" is in twelve hours."""
    for sentence in dutch.sentences(asked(Kind.NEXT, "12:00"), 4000):
        assert not re.search(r"(over|binnen|nog) twaalf uur", sentence), sentence


def test_an_unknown_manner_is_named() -> None:
    with pytest.raises(WordingError, match="Dutch has no 'frisian' manner: standard, flemish"):
        clock("nl", ("frisian",))


def test_the_voice_that_comes_with_the_program_speaks_it() -> None:
    clip = EmbeddedVoice().render("De volgende voorstelling begint om half drie.", "nl")
    assert 1.0 < clip.seconds < 6.0
