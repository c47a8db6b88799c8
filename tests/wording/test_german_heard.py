"""What the product's own listener hears in German: more than it says, and no false alarms."""

from random import Random

import pytest

from showtime.wording import times_told


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
        ("Kommen Sie um halb drei, oder um Viertel vor drei.", ["2:30", "2:45"]),
        ("14:30, 14.30 Uhr, 14 Uhr 30, 14h30", ["14:30"] * 4),
        ("um 2:30 Uhr, um 02:30 Uhr, um 2 Uhr", ["2:30", "02:30", "2:00"]),
        ("halb 3, fünf vor halb 3, Viertel nach 2", ["2:30", "2:25", "2:15"]),
        ("viertel drei, dreiviertel drei, drei viertel drei", ["2:15", "2:45", "2:45"]),
        ("viertel auf drei, viertel über zwei", ["2:15", "2:15"]),
        ("zwo Uhr, zwoelf Uhr, fuenf vor halb drei", ["2:00", "12:00", "2:25"]),
        ("ZWEI UHR DREISSIG", ["2:30"]),
        ("vierzehn Uhr und sieben Minuten, vierzehn Uhr null sieben", ["14:07"] * 2),
        ("um eins. Um zwei, um drei herum", ["1:00", "2:00", "3:00"]),
        ("um zwei Ecken, um eine Tür, um ein Haar", []),
        ("um zwölf Uhr ein Lied", ["12:00"]),
        (
            "Sie ist Punkt Mitternacht. Um zwei Uhr. Um zwei Minuten nach drei",
            ["00:00", "2:00", "3:02"],
        ),
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


def test_letters_may_be_written_in_any_of_their_forms() -> None:
    """Composed of two signs, in capitals with ẞ, or with the long s of old signboards."""
    assert heard("fu\u0308nf vor halb drei") == ["2:25"]
    assert heard("FÜNF VOR HALB DREI") == ["2:25"]
    assert heard("DREI\u1e9eIG MINUTEN") == ["+30"]
    assert heard("\u017fieben Uhr") == ["7:00"]


def test_whatever_is_written_the_listener_hears_times_that_there_are() -> None:
    words = """null ein eins eine zwei zwo drei sieben elf zwölf dreizehn einundzwanzig Uhr uhr
        Minuten vor nach halb viertel dreiviertel drei Mittag Mitternacht um Punkt es ist heute
        Morgen nachmittags nachts abends 14:30 25:99 2.5 0 99 Stunde anderthalb weniger als . ,"""
    random = Random(5)
    for _ in range(4000):
        text = " ".join(random.choices(words.split(), k=random.randint(1, 9)))
        for told in times_told(text, "de"):
            assert 0 <= told.minutes < (told.counted or 100 * 60), text
