"""What people type when they are asked for a new stall's settings, and what it is taken for."""

from __future__ import annotations

import random
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import available_timezones

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from showtime.settings import load_stall, parse_yaml
from showtime.settings.newstall import (
    QUESTIONS,
    AnswerError,
    NewStall,
    Question,
    Surroundings,
    blank,
    composed,
    file_name,
    shortly_before,
)

WEDNESDAY = datetime(2026, 11, 25, 16, 20, tzinfo=UTC)
AROUND = Surroundings(
    WEDNESDAY,
    "en",
    "Europe/London",
    {"nl": ("Dutch", "Nederlands"), "en": ("English",), "de": ("German", "Deutsch")},
    tuple(sorted(available_timezones())),
)
ASKED = {question.flag: question for question in QUESTIONS}


def told(flag: str, typed: str, stall: NewStall | None = None) -> list[str]:
    """What the question says that it understood."""
    taken = ASKED[flag].taken(stall or blank(AROUND), typed, AROUND)
    return ASKED[flag].tell(taken, AROUND)


def taken(**answers: str) -> NewStall:
    stall = blank(AROUND)
    for question in QUESTIONS:
        stall = question.taken(stall, answers.get(question.flag, ""), AROUND)
    return stall


HOURS = {
    "10-17": "10:00 to 17:00",
    "10:00 to 17:00": "10:00 to 17:00",
    "10 – 17": "10:00 to 17:00",
    "from 10 till 5": "10:00 to 17:00",
    "9-5": "09:00 to 17:00",
    "10am-5pm": "10:00 to 17:00",
    "10 a.m. to 5 p.m.": "10:00 to 17:00",
    "1-5pm": "13:00 to 17:00",
    "10-5pm": "10:00 to 17:00",
    "ten to five": "10:00 to 17:00",
    "10.30-17.00": "10:30 to 17:00",
    "1000-1630": "10:00 to 16:30",
    "10h30-17h": "10:30 to 17:00",
    "noon to 6": "12:00 to 18:00",
    "14-24": "14:00 to 24:00",
    "20-2": "20:00 to 02:00 the next day",
    "8pm-1am": "20:00 to 01:00 the next day",
    "\uff11\uff10-\uff11\uff17": "10:00 to 17:00",
}


@pytest.mark.parametrize(("typed", "meant"), HOURS.items())
def test_hours_are_understood_as_people_type_them(typed: str, meant: str) -> None:
    assert told("days", typed) == [f"Saturday 28 November 2026, {meant}"]


DATES = {
    "": ["2026-11-28"],
    "today": ["2026-11-25"],
    "tomorrow": ["2026-11-26"],
    "sat": ["2026-11-28"],
    "Saturday and Sunday": ["2026-11-28", "2026-11-29"],
    "sat/sun": ["2026-11-28", "2026-11-29"],
    "sat-sun": ["2026-11-28", "2026-11-29"],
    "fri to sun": ["2026-11-27", "2026-11-28", "2026-11-29"],
    "next weekend": ["2026-11-28", "2026-11-29"],
    "13 Feb": ["2027-02-13"],
    "the 13th of february": ["2027-02-13"],
    "Feb 13": ["2027-02-13"],
    "13.2.": ["2027-02-13"],
    "13.2.2027": ["2027-02-13"],
    "13/2/27": ["2027-02-13"],
    "2/13/2027": ["2027-02-13"],
    "2027-02-13": ["2027-02-13"],
    "13, 14 and 15 Feb": ["2027-02-13", "2027-02-14", "2027-02-15"],
    "13-14 Feb": ["2027-02-13", "2027-02-14"],
    "Feb 13-14": ["2027-02-13", "2027-02-14"],
    "Sat 13 and Sun 14 Feb 2027": ["2027-02-13", "2027-02-14"],
    "30 Dec - 2 Jan": ["2026-12-30", "2026-12-31", "2027-01-01", "2027-01-02"],
    "29 feb": ["2028-02-29"],
}


@pytest.mark.parametrize(("typed", "meant"), DATES.items())
@pytest.mark.parametrize("hours", ["", " 10-16", ", 10-16", " from 10:00 until 16:00"])
def test_days_are_understood_as_people_type_them(typed: str, meant: list[str], hours: str) -> None:
    stall = ASKED["days"].taken(blank(AROUND), typed + hours, AROUND)
    assert [str(day.date) for day in stall.days] == meant
    closes = timedelta(hours=16 if hours else 17)
    assert {day.hours.closes for day in stall.days} == {closes}


def test_each_day_may_have_hours_of_its_own() -> None:
    saturday, sunday = "Saturday 28 November 2026", "Sunday 29 November 2026"
    for typed in (
        "sat 10-17, sun 11-16",
        "10-17 sat; 11-16 sun",
        "sat 10 to 5 and sun 11 to 4",
        "28 Nov 10-17, 29 Nov 11-16",
        "28 Nov 10 to 17 and 29 Nov 11 to 16",
        "28 Nov 10:00-17:00, 29 Nov 11:00-16:00",
        "2026-11-28 10-17 2026-11-29 11-16",
        "Saturday 10am - 5pm and Sunday 11am - 4pm",
    ):
        assert told("days", typed) == [f"{saturday}, 10:00 to 17:00", f"{sunday}, 11:00 to 16:00"]
    for typed in ("sat 10-16, sun", "28 Nov 10:00 - 29 Nov 16:00"):
        assert told("days", typed)[1] == f"{sunday}, 10:00 to 16:00"


def test_a_day_that_is_past_is_taken_and_said_to_be() -> None:
    assert "past" in told("days", "2026-11-24 10-17")[0]


LENGTHS = {
    "Frost Bells 4:30": ["Frost Bells, 4 min 30 s"],
    "Frost Bells 4 min 30": ["Frost Bells, 4 min 30 s"],
    "Frost Bells 4 min 30 s": ["Frost Bells, 4 min 30 s"],
    "Frost Bells 4m30s": ["Frost Bells, 4 min 30 s"],
    "Frost Bells 4'30\"": ["Frost Bells, 4 min 30 s"],
    "Frost Bells 4½ min": ["Frost Bells, 4 min 30 s"],
    "Frost Bells 4,5 min": ["Frost Bells, 4 min 30 s"],
    "Frost Bells 4 minutes and 30 seconds": ["Frost Bells, 4 min 30 s"],
    "Frost Bells (4:30)": ["Frost Bells, 4 min 30 s"],
    "Frost Bells: 4:30": ["Frost Bells, 4 min 30 s"],
    "4:30 Frost Bells": ["Frost Bells, 4 min 30 s"],
    "Frost Bells 7": ["Frost Bells, 7 min"],
    "Frost Bells half an hour": ["Frost Bells, 30 min"],
    "Frost Bells 90 s": ["Frost Bells, 1 min 30 s"],
    "Bells 4:30, Dance 7 min; Jig 2": ["Bells, 4 min 30 s", "Dance, 7 min", "Jig, 2 min"],
    "Bells, 4:30, Dance, 7 min": ["Bells, 4 min 30 s", "Dance, 7 min"],
    "Salt and Pepper 4 and Jig 2": ["Salt and Pepper, 4 min", "Jig, 2 min"],
    "Frost Bells four and a half minutes": ["Frost Bells, 4 min 30 s"],
    "Frost Bells about 5 min": ["Frost Bells, 5 min"],
    "Four Bells four minutes": ["Four Bells, 4 min"],
    "Bells 5 min / Dance 7 min": ["Bells, 5 min", "Dance, 7 min"],
    "Waltz No 2 3:10": ["Waltz No 2, 3 min 10 s"],
}


@pytest.mark.parametrize(("typed", "meant"), LENGTHS.items())
def test_pieces_are_understood_as_people_type_them(typed: str, meant: list[str]) -> None:
    assert told("pieces", typed) == meant


QUIET = {
    "lunch 13:00-13:30": ["lunch, 13:00 to 13:30"],
    "13-13:30 lunch": ["lunch, 13:00 to 13:30"],
    "lunch, 13-14": ["lunch, 13:00 to 14:00"],
    "lunch from 1 to 2": ["lunch, 13:00 to 14:00"],
    "lunch at 1pm for half an hour": ["lunch, 13:00 to 13:30"],
    "talk 12-1 and lunch 1-2": ["talk, 12:00 to 13:00", "lunch, 13:00 to 14:00"],
    "story circle at the Lantern Cart 11:30-12:15": [
        "story circle at the Lantern Cart, 11:30 to 12:15"
    ],
    "story 11:30 to 12:15 and 14:00 to 14:30": ["story, 11:30 to 12:15", "story, 14:00 to 14:30"],
    "bandstand every hour 10:55-11:05": ["bandstand, 10:55 to 11:05, again every 1 h"],
    "bandstand 10:55-11:05 every 30 min": ["bandstand, 10:55 to 11:05, again every 30 min"],
    "lunch 13-13:30 on saturday": ["lunch, 13:00 to 13:30, on Saturday 28 November"],
    "talk on noise 15-15:30": ["talk on noise, 15:00 to 15:30"],
    "13-14": ["a pause, 13:00 to 14:00"],
    "none": ["never; it may sound at any time"],
    "Nothing.": ["never; it may sound at any time"],
}


@pytest.mark.parametrize(("typed", "meant"), QUIET.items())
def test_quiet_times_are_understood_as_people_type_them(typed: str, meant: list[str]) -> None:
    assert told("quiet", typed) == meant


SPOKEN = {
    "": "English; Europe/London, where it is 16:20 now",
    "german": "German; Europe/London, where it is 16:20 now",
    "Deutsch, Berlin": "German; Europe/Berlin, where it is 17:20 now",
    "de & nl": "German and Dutch; Europe/London, where it is 16:20 now",
    "Dutch in New York": "Dutch; America/New_York, where it is 11:20 now",
    "europe/amsterdam": "English; Europe/Amsterdam, where it is 17:20 now",
    "utc": "English; UTC, where it is 16:20 now",
}


@pytest.mark.parametrize(("typed", "meant"), SPOKEN.items())
def test_languages_and_zones_are_understood_as_people_type_them(typed: str, meant: str) -> None:
    assert told("speaks", typed) == [meant]


REFUSED = [
    ("stall", ", Osierholt", "the stall needs a name"),
    ("stall", "a\x1b[31mb", "hidden characters"),
    ("stall", "Z\ufffd", "letters in this that cannot be read"),
    ("stall", "x" * 3000, "very long"),
    ("speaks", "Germn", "did you mean German?"),
    ("speaks", "Europe/Berln", "did you mean Europe/Berlin?"),
    ("speaks", "Cat-like", "there are Dutch, English, German"),
    ("speaks", "London, Berlin", "one time zone"),
    ("days", "fish", "'fish' is neither a day nor hours"),
    ("days", "tomorow", "did you mean tomorrow?"),
    ("days", "10", "neither a day nor hours"),
    ("days", "10-25", "'25' is no time of day"),
    ("days", "10:75-12", "'10:75' is no time of day"),
    ("days", "31 Feb 10-17", "there is no 31 February"),
    ("days", "29 feb 2027", "there is no 29 February 2027"),
    ("days", "3/4/2027 10-17", "may be 3 April or 4 March"),
    ("days", "Sun 13 Feb 2027", "is a Saturday, not a Sunday"),
    ("days", "Sun Feb 13 2027", "is a Saturday, not a Sunday"),
    ("days", "sat 10-17, sat 18-20", "is here twice"),
    ("days", "14 Feb - 13 Feb 2027", "ends before it begins"),
    ("days", "1 Jan - 31 Dec 2027", "60 at most"),
    ("days", "10-17, 10-16", "name the days too"),
    ("pieces", "Frost Bells", "how long is Frost Bells?"),
    ("pieces", "4:30", "has no name"),
    ("pieces", "Bells 4:75", "'4:75' is no length"),
    ("pieces", "Bells 4.30", "may be 4:30 or 4.3 min"),
    ("pieces", "Bells 0", "cannot last 0 min"),
    ("pieces", "Bells 30 h", "cannot last 30 h"),
    ("pieces", "Bells 4, Bells 5", "is here twice"),
    ("pieces", "lunch 13-13:30", "'13-13:30' is no length"),
    ("pieces", "Bells 4-5 min", "'4-5' is no length"),
    ("pieces", ",", "names no piece"),
    ("quiet", "lunch", "from when to when is 'lunch'?"),
    ("quiet", "lunch 13:00-25:00", "'25:00' is no time of day"),
    ("quiet", "lunch 13-14 on monday", "not shown on Monday 30 November 2026"),
    ("quiet", ";", "names no time"),
]


@pytest.mark.parametrize(("flag", "typed", "why"), REFUSED)
def test_what_means_nothing_or_two_things_is_refused_with_what_is_wrong(
    flag: str, typed: str, why: str
) -> None:
    with pytest.raises(AnswerError) as refused:
        told(flag, typed)
    assert why in str(refused.value)


def test_what_stands_in_brackets_means_what_enter_means() -> None:
    stall = blank(AROUND)
    for question in QUESTIONS:
        shown = question.default(stall, AROUND)
        entered = question.taken(stall, "", AROUND)
        assert question.taken(stall, f" {shown} ", AROUND) == entered
        stall = entered


def test_lunch_is_proposed_only_where_the_stall_is_open_before_and_after() -> None:
    for hours, proposed in (("10-17", "lunch 13:00-13:30"), ("14-18", "none"), ("20-2", "none")):
        stall = ASKED["days"].taken(blank(AROUND), hours, AROUND)
        assert ASKED["quiet"].default(stall, AROUND) == proposed


def test_the_day_is_that_of_the_stalls_zone() -> None:
    late = Surroundings(
        WEDNESDAY.replace(hour=23, minute=30), "en", "Europe/London", AROUND.languages, AROUND.zones
    )
    stall = ASKED["speaks"].taken(blank(late), "Berlin", late)
    assert ASKED["days"].taken(stall, "today", late).days[0].date == date(2026, 11, 26)


def loaded(stall: NewStall, folder: Path):
    file = folder / "stall.yaml"
    file.write_text(composed(stall), "utf-8")
    return load_stall(file)


def test_the_file_says_what_was_understood(tmp_path: Path) -> None:
    stall = taken(
        stall="Night: Kettle #2, Marl & Sons' Green",
        figure='"Zoë" - the {Tin} one',
        speaks="de, en, berlin",
        days="13 Feb 2027 10-17, 14 Feb 2027 20-2",
        pieces="no 4:30, Bells: & Whistles 7 min",
        quiet="true 13-13:30 on saturday, bells 14-14:05 every hour on 14 Feb",
    )
    read = loaded(stall, tmp_path)
    board = read.signboard
    assert (board.stall, board.fair) == ("Night: Kettle #2", "Marl & Sons' Green")
    assert (board.figure, board.languages) == ('"Zoë" - the {Tin} one', ("de", "en"))
    assert board.timezone.key == "Europe/Berlin"
    first, last = read.days
    assert [(piece.name, piece.lasts) for piece in first.pieces] == [
        ("no", timedelta(minutes=4, seconds=30)),
        ("Bells: & Whistles", timedelta(minutes=7)),
    ]
    assert first.hours.start == datetime(2027, 2, 13, 9, tzinfo=UTC)
    assert last.hours.end == datetime(2027, 2, 15, 1, tzinfo=UTC)
    assert [(q.why, q.span.start.hour, q.span.length) for q in first.quiet] == [
        ("true", 12, timedelta(minutes=30))
    ]
    assert {q.why for q in last.quiet} == {"bells"}


words = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")),
    min_size=1,
    max_size=40,
).filter(lambda text: text.strip() and "," not in text)


@given(stall=words, figure=words)
@settings(derandomize=True, max_examples=60, deadline=None)
def test_whatever_it_is_called_the_file_says_so(
    tmp_path_factory: pytest.TempPathFactory, stall: str, figure: str
) -> None:
    made = taken(stall=stall, figure=figure)
    board = loaded(made, tmp_path_factory.mktemp("any")).signboard
    assert (board.stall, board.figure) == (stall.strip(), figure.strip())
    name = Path(file_name(made))
    assert name.suffix == ".yaml"
    assert set(name.stem) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert not name.stem.startswith("-")


def test_no_piece_is_left_out_for_being_long() -> None:
    for pieces, often in (("a 4:30, b 7", 4), ("a 2, b 12", 3), ("a 1, b 50", 1), ("a 5 h", 1)):
        assert f"performances: {often}, in_any: 60 min" in composed(taken(pieces=pieces))


def examples(text: str) -> list[str]:
    """Each block of lines with its examples uncommented, as somebody would do it who tries one."""
    blocks = text.split("\n\n")
    return [
        "\n\n".join([*blocks[:n], uncommented(block), *blocks[n + 1 :]])
        for n, block in enumerate(blocks)
        if uncommented(block) != block
    ]


def uncommented(block: str) -> str:
    return "\n".join(
        line[2:] if line.startswith("#   ") or line.startswith(KEYS) else line
        for line in block.split("\n")
    )


KEYS = tuple(
    f"# {key}:"
    for key in (
        "quiet", "caps", "neighbours", "body", "wishes", "calls", "voice", "keeper", "inputs",
        "controller",
    )
)  # fmt: skip


@pytest.mark.parametrize(
    "answers",
    [
        {},
        {"quiet": "none"},
        {"days": "tomorrow 20-2"},
        {"days": "today 10:00-10:10", "pieces": "Bells 2"},
    ],
)
def test_every_example_counts_once_its_sign_is_taken_away(
    tmp_path: Path, answers: dict[str, str]
) -> None:
    text = composed(taken(**answers))
    tried = [*examples(text), uncommented(text)]
    assert len(tried) == 10
    for number, each in enumerate(tried):
        file = tmp_path / f"{number}.yaml"
        file.write_text(each, "utf-8")
        load_stall(file)
    keys = {pair.key.text for pair in parse_yaml(tried[-1], "all.yaml").pairs}
    assert {key[2:-1] for key in KEYS} <= keys


def test_any_reader_of_yaml_can_read_it() -> None:
    read = yaml.safe_load(composed(taken(figure="null", pieces="off 4:30, 1984: on 7")))
    assert read["figure"] == "null"
    assert [piece["name"] for piece in read["pieces"]] == ["off", "1984: on"]


def test_the_first_look_is_at_two_minutes_before_it_opens() -> None:
    assert shortly_before(taken(days="13 Feb 2027 10-17")) == "2027-02-13T09:58"
    assert shortly_before(taken(days="13 Feb 2027 0:00-17:00")) == "2027-02-13T00:00"


def understood(question: Question, typed: str) -> NewStall | None:
    try:
        return question.taken(blank(AROUND), typed, AROUND)
    except AnswerError as refused:
        return None if str(refused) else pytest.fail(f"{typed!r} is refused without a word")


PARTS = [
    "10", "17", "4:30", "-", "to", "and", ",", ";", "min", "h", "'", '"', "½", "feb", "13", "31",
    "2027", "0", "sat", "sun", "tomorrow", "am", "pm", "lunch", "Frost Bells", "#", ":", "{", "]",
    "&", "*", "!", "|", "%", "\\", "é", "日本", "🎪", "\u200d", "\ufeff", "\u2028", "25:99", "noon",
    "weekend", "midnight", "for", "half an hour", "none", "null", "~", "1e3", "13/2", "13.2.",
    "english", "berlin", "9999-12-31", "0000-00-00", "1 Jan", "<", "\x00", "9" * 50,
]  # fmt: skip


def test_whatever_is_typed_is_understood_or_refused_in_words(full: bool) -> None:
    luck = random.Random(9)
    for _ in range(20_000 if full else 600):
        typed = "".join(
            luck.choice(PARTS) + luck.choice(["", " "]) for _ in range(luck.randint(1, 9))
        )
        for question in QUESTIONS:
            stall = understood(question, typed)
            if stall is not None:
                assert all(question.tell(stall, AROUND)), typed
                assert composed(stall), typed


@pytest.mark.parametrize("typed", ["1" * 2000, "1-" * 1000, "1, " * 660, "- " * 990, "sat " * 500])
def test_a_cat_on_the_keyboard_does_not_hold_things_up(typed: str) -> None:
    begun = time.monotonic()
    for question in QUESTIONS:
        understood(question, typed)
    assert time.monotonic() - begun < 10
