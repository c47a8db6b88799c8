"""What the product's own listener hears in Dutch: more than it says, and no false alarms."""

from random import Random

import pytest

from showtime.wording import times_told


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


def test_letters_may_be_written_in_any_of_their_forms() -> None:
    assert heard("e\u0301e\u0301n uur") == ["1:00"]
    assert heard("drieentwintig minuten, éénentwintig minuten") == ["+23", "+21"]
    assert heard("om half drie \u2018s middags") == ["14:30"]


def test_whatever_is_written_the_listener_hears_times_that_there_are() -> None:
    words = """nul een één twee drie zeven elf twaalf dertien eenentwintig tweeëntwintig uur u
        minuten minuut voor na over half kwart kwartier middernacht om het is klokslag 's middags
        vanmiddag morgenavond 14:30 25:99 2.5 14u30 0 99 anderhalf minder dan binnen nog . ,"""
    random = Random(5)
    for _ in range(4000):
        text = " ".join(random.choices(words.split(), k=random.randint(1, 9)))
        for told in times_told(text, "nl"):
            assert 0 <= told.minutes < (told.counted or 100 * 60), text
