"""The product listens to itself, and hears more than it says."""

from datetime import datetime, timedelta

import pytest

from showtime.wording import times_told


def heard(text: str) -> list[str]:
    """Each time that is heard: "14:30" of the whole day, "2:30" of the half day, "+5" from now."""
    now = datetime(2027, 2, 13).astimezone()
    found = []
    for told in times_told(text, "en"):
        hits = [m for m in range(1440) if told.means(now + timedelta(minutes=m), now)]
        whole = [f"{m // 60:02}:{m % 60:02}" for m in hits]
        half = f"{hits[0] // 60 or 12}:{hits[0] % 60:02}" if len(hits) == 2 else ""
        soon = told.means(now + timedelta(days=1, minutes=hits[0]), now)
        found.append(half or (whole[0] if soon else f"+{hits[0]}"))
    return found


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("Come at half past two.", ["2:30"]),
        ("Come at half-past two, or at three o'clock.", ["2:30", "3:00"]),
        ("three o’clock", ["3:00"]),
        ("two thirty-five", ["2:35"]),
        ("two-thirty-five", ["2:35"]),
        ("Two oh seven, sharp", ["2:07"]),
        ("ten minutes to noon", ["11:50"]),
        ("ten past midnight", ["00:10"]),
        ("five to twelve at night", ["23:55"]),
        ("half past twelve in the afternoon", ["12:30"]),
        ("half past one in the morning", ["01:30"]),
        ("this evening at seven thirty", ["19:30"]),
        ("at seven.", ["7:00"]),
        ("at seven sharp", ["7:00"]),
        ("at seven people", []),
        ("14:30 and 2.30 and 02:30", ["14:30", "2:30", "02:30"]),
        ("2:30 pm, 3 a.m., 3pm", ["14:30", "03:00", "15:00"]),
        ("in five minutes", ["+5"]),
        ("in less than a minute, in under a minute", ["+0", "+0"]),
        ("half an hour, a quarter of an hour", ["+30", "+15"]),
        ("a minute past two", ["2:01"]),
        ("one of you, two of us, the next one", []),
        ("good afternoon, this very evening", []),
        ("this afternoon the bells ring. Come at two.", ["2:00"]),
        ("twenty, fifty, a hundred", []),
        ("two, thirty", []),
        ("the first and the second", []),
        ("", []),
    ],
)
def test_times_are_heard_where_a_listener_hears_them(text: str, times: list[str]) -> None:
    assert heard(text) == times
