"""German as it is told at the stall: half hours, cases, three manners, and what is left unsaid."""

import re
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from showtime.settings import shipped
from showtime.voice import EmbeddedVoice
from showtime.wording import Bank, Kind, Situation, WordingError, clock, parse_bank, times_told

Situations = Callable[..., Situation]
MINUTES = [(hour, minute) for hour in range(24) for minute in range(60)]


@pytest.fixture(scope="module")
def text() -> str:
    return shipped("phrasebanks/de.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def german(text: str) -> Bank:
    return parse_bank(text, "de.yaml")


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
            ["viertel nach zwei", "zwei Uhr fünfzehn"],
            ["viertel drei", "zwei Uhr fünfzehn"],
            "vierzehn Uhr fünfzehn",
        ),
        (
            "12:45",
            ["viertel vor eins", "zwölf Uhr fünfundvierzig"],
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
    assert not [idiom for idiom in said if re.search(r"viertel(?! (vor|nach) )", idiom)]
    assert not [idiom for idiom in said if "vierundzwanzig Uhr" in idiom]
    assert not [idiom for idiom in said if re.search(r"\bMittag\b", idiom)]
    bare = re.compile(r"um (\w+) (vor|nach) ")
    counts = {match[1] for match in map(bare.match, said) if match}
    assert counts == {"fünf", "zehn", "zwanzig", "viertel"}


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


def heard(text: str) -> list[str]:
    """Each time that is heard: "14:30" of the whole day, "2:30" of the half day, "+5" from now."""
    found = []
    for told in times_told(text, "de"):
        hour, minute = divmod(told.minutes, 60)
        whole = f"{hour:02}:{minute:02}" if told.counted == 1440 else f"{hour or 12}:{minute:02}"
        found.append(whole if told.counted else f"+{told.minutes}")
    return found


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("Kommen Sie um halb drei, oder um viertel vor drei.", ["2:30", "2:45"]),
        ("14:30, 14.30 Uhr, 14 Uhr 30, 14h30", ["14:30"] * 4),
        ("um 2:30 Uhr, um 02:30 Uhr, um 2 Uhr", ["2:30", "02:30", "2:00"]),
        ("halb 3, fünf vor halb 3, viertel nach 2", ["2:30", "2:25", "2:15"]),
        ("viertel drei, dreiviertel drei, drei viertel drei", ["2:15", "2:45", "2:45"]),
        ("viertel auf drei, viertel über zwei", ["2:15", "2:15"]),
        ("zwo Uhr, zwoelf Uhr, fuenf vor halb drei", ["2:00", "12:00", "2:25"]),
        ("ZWEI UHR DREISSIG", ["2:30"]),
        ("vierzehn Uhr und sieben Minuten, vierzehn Uhr null sieben", ["14:07"] * 2),
        ("um eins. Um zwei, um drei herum", ["1:00", "2:00", "3:00"]),
        ("um zwei Ecken, um eine Tür, um ein Haar", []),
        ("um zwölf Uhr ein Lied", ["12:00"]),
        ("Es ist zwei.", ["2:00"]),
        ("Mitternacht, zehn nach Mitternacht, fünf vor Mitternacht", ["00:00", "00:10", "23:55"]),
        ("Punkt Mittag, gegen Mittag", ["12:00", "12:00"]),
        ("guten Morgen, am Mittag, heute Nachmittag, jeden Abend", []),
        ("heute Nachmittag um halb drei", ["14:30"]),
        ("morgen früh um acht Uhr", ["08:00"]),
        ("am Sonntag um drei Uhr nachmittags", ["15:00"]),
        ("heute Morgen um acht Uhr, heute Abend um acht Uhr", ["08:00", "20:00"]),
        ("halb zwölf mittags, halb eins mittags", ["11:30", "12:30"]),
        ("zwölf Uhr nachts, elf Uhr nachts, zwei Uhr nachts", ["00:00", "23:00", "02:00"]),
        ("zwölf Uhr abends, sieben Uhr abends", ["00:00", "19:00"]),
        (
            "zehn Uhr vormittags, zehn Uhr morgens, in der Früh um sechs Uhr",
            ["10:00"] * 2 + ["06:00"],
        ),
        ("vierundzwanzig Uhr, 24 Uhr, 0 Uhr, null Uhr fünf", ["00:00"] * 3 + ["00:05"]),
        ("25 Uhr, 14:75", []),
        ("am 13.02.2027, im Jahr 2027, Nr. 12.30.5", []),
        ("in fünf Minuten, in einer Minute, 5 Minuten, 5 min", ["+5", "+1", "+5", "+5"]),
        ("in einer Viertelstunde, eine halbe Stunde", ["+15", "+30"]),
        ("in einer Dreiviertelstunde, drei Viertelstunden", ["+45", "+45"]),
        ("in zwei Stunden, in einer Stunde, anderthalb Stunden", ["+120", "+60", "+90"]),
        ("weniger als eine Minute, keine ganze Minute", ["+0", "+0"]),
        ("keine Minute später, ein paar Minuten", []),
        ("ein Uhrwerk, zwei Uhrwerke, Uhren, halb so wild, noch einmal", []),
        ("eins nach dem anderen, zwei von dreien, drei Nüsse, die erste und die zweite", []),
        ("vor zwei Leuten, nach drei Liedern", []),
        ("", []),
    ],
)
def test_times_are_heard_where_a_listener_hears_them(text: str, times: list[str]) -> None:
    assert heard(text) == times


def test_a_bank_may_keep_to_one_manner(text: str, asked: Situations) -> None:
    said = {}
    for way in clock("de").manners:
        bank = parse_bank(text.replace("clock: [standard, 24-hour]", f"clock: {way}"), "de.yaml")
        sentences = bank.sentences(asked(Kind.NEXT, "14:45"), 2000)
        said[way] = " ".join(sentences).lower()
    idioms = {"standard": "viertel vor drei", "regional": "dreiviertel drei", "24-hour": "vierzehn"}
    for way, idiom in idioms.items():
        assert [manner for manner in said if idiom in said[manner]] == [way]


def test_a_change_comes_with_an_apology(german: Bank, asked: Situations) -> None:
    sorry = re.compile("leid|verzeih|entschuldig|nachsicht|bedaure", re.IGNORECASE)
    for situation in (asked(Kind.CHANGED, "14:30"), asked(Kind.CALLED_OFF)):
        for sentence in german.sentences(situation, 2000):
            assert sorry.search(sentence), sentence


def test_visitors_are_addressed_with_the_same_courtesy_throughout(
    german: Bank, asked: Situations
) -> None:
    """ "Hört, hört" is a crier's set phrase."""
    for kind, start in ((Kind.NEXT, "14:30"), (Kind.CALL, "14:30"), (Kind.LATE, None)):
        for sentence in german.sentences(asked(kind, start, minutes_before=5), 1500):
            plain = sentence.replace("Hört, hört", "")
            assert not re.search(r"\b(du|dich|dir|dein\w*|ihr|euch|euer|eure\w*)\b", plain), (
                sentence
            )
            assert not re.search(r"[a-zäöü,] (sie kommen|ihnen|ihren?)\b", plain), sentence


def test_a_whole_sentence_after_a_colon_begins_with_a_capital(
    german: Bank, asked: Situations
) -> None:
    """The rule of German spelling: § 54 of the official rules (from memory)."""
    for kind in (Kind.NEXT, Kind.CLOCK_UNSET):
        start = "14:30" if kind is Kind.NEXT else None
        for sentence in german.sentences(asked(kind, start, moods=frozenset()), 3000):
            assert not re.search(r": (die|meine|ich) ", sentence), sentence


def test_nouns_keep_their_capitals_and_a_bare_hour_is_never_followed_by_one(
    german: Bank, asked: Situations
) -> None:
    now = at(14) - timedelta(minutes=18)
    for sentence in german.sentences(asked(Kind.NEXT, "14:00"), 4000):
        assert not re.search(r"\b(uhr|minuten?|vorstellung|mitternacht)\b", sentence), sentence
        assert not re.search(r"um zwei [A-ZÄÖÜ](?!hr)", sentence), sentence
        (told,) = german.clock.told(sentence)
        assert told.means(at(14), now), sentence


def test_an_unknown_manner_is_named() -> None:
    with pytest.raises(WordingError, match="German has no 'saxon' manner: standard, regional"):
        clock("de", ("saxon",))


def test_the_voice_that_comes_with_the_program_speaks_it() -> None:
    clip = EmbeddedVoice().render("Die nächste Vorstellung beginnt um halb drei.", "de")
    assert 1.0 < clip.seconds < 6.0
